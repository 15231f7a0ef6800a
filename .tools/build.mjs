// Builds dist/: the command line and the worker process, split so that what is seldom needed loads late.
import { chmod, rm } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';

const root = fileURLToPath(new URL('..', import.meta.url));

let esbuild;
try {
  esbuild = await import('esbuild');
} catch {
  process.stderr.write('necksight: esbuild is not installed, so nothing is built; run "npm ci" with development dependencies\n');
  // An installation without development dependencies comes with dist/ already built.
  process.exit(process.env.npm_lifecycle_event === 'prepare' ? 0 : 1);
}

await rm(new URL('../dist', import.meta.url), { recursive: true, force: true });
await esbuild.build({
  absWorkingDir: root,
  entryPoints: { necksight: 'src/cli/main.ts', worker: 'src/batch/worker.ts' },
  outdir: 'dist',
  bundle: true,
  splitting: true,
  format: 'esm',
  platform: 'node',
  target: 'node20.19',
  packages: 'external',
  chunkNames: 'chunks/[name]-[hash]',
  sourcemap: false,
  minifySyntax: true,
  logLevel: 'warning',
  banner: { js: '' },
});
await chmod(new URL('../dist/necksight.js', import.meta.url), 0o755);
