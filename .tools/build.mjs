// Builds dist/ (or the folder given): the command line and the worker process, split so that what is seldom needed loads late.
import { createHash } from 'node:crypto';
import { chmod, readdir, readFile, rename, rm } from 'node:fs/promises';
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

// Into a folder of its own first: a build that fails leaves the last good one in place.
const out = process.argv[2] ?? 'dist';
const fresh = `${out}.${process.pid}.tmp`;
try {
  await esbuild.build({
    absWorkingDir: root,
    entryPoints: { necksight: 'src/cli/main.ts', worker: 'src/batch/worker.ts' },
    outdir: fresh,
    bundle: true,
    splitting: true,
    format: 'esm',
    platform: 'node',
    target: 'node20.19',
    packages: 'external',
    chunkNames: 'chunks/[name]-[hash]',
    minifySyntax: true,
    logLevel: 'warning',
    define: { NECKSIGHT_BUILD: JSON.stringify(await sourcesHash()) },
  });
} catch {
  // esbuild has said what is wrong.
  await rm(`${root}${fresh}`, { recursive: true, force: true });
  process.exit(1);
}
await chmod(`${root}${fresh}/necksight.js`, 0o755);
await rm(`${root}${out}`, { recursive: true, force: true });
await rename(`${root}${fresh}`, `${root}${out}`);

/** Tells two builds of one version apart: a hash over all sources and the lock file. */
async function sourcesHash() {
  const files = (await readdir(`${root}src`, { recursive: true }))
    .filter((name) => name.endsWith('.ts'))
    .map((name) => `src/${name.replaceAll('\\', '/')}`);
  const hash = createHash('sha256');
  for (const file of [...files, 'package-lock.json'].sort()) hash.update(`${file}\0`).update(await readFile(`${root}${file}`));
  return hash.digest('hex').slice(0, 12);
}
