import { createHash } from 'node:crypto';
import { rm } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { type BuildOptions, build } from 'esbuild';

export interface BuiltWorker<Model extends string> {
  /** The worker as plain JavaScript. */
  readonly entry: string;
  /** By model: a hash of all code that its results depend on. */
  readonly sources: Readonly<Record<Model, string>>;
  readonly remove: () => Promise<void>;
}

const HASH_LENGTH = 12;
const COMMON = { bundle: true, format: 'esm', platform: 'node', packages: 'external', logLevel: 'warning' } as const satisfies BuildOptions;

/**
 * Bundles a worker: it starts in a tenth of the time that TypeScript takes, and its bytes tell what results depend on.
 *
 * @param worker  its file, relative to this folder
 * @param parts  by model: the files whose code its results depend on
 */
export async function buildWorker<Model extends string>(
  worker: string,
  parts: Readonly<Record<Model, readonly string[]>>,
): Promise<BuiltWorker<Model>> {
  // Inside the project, so that packages are found from there.
  const folder = fileURLToPath(new URL(`../../node_modules/.necksight-study/${process.pid}/`, import.meta.url));
  const entry = `${folder}study-worker.mjs`;
  await build({ ...COMMON, entryPoints: [here(worker)], outfile: entry, sourcemap: 'inline' });
  const models = Object.keys(parts) as Model[];
  const hashes = await Promise.all(models.map(async (model) => [model, await hashOf(parts[model])] as const));
  return {
    entry,
    sources: Object.fromEntries(hashes) as Record<Model, string>,
    remove: () => rm(folder, { recursive: true, force: true }),
  };
}

/** Minified, so that comments and layout do not count. */
async function hashOf(files: readonly string[]): Promise<string> {
  const { outputFiles } = await build({
    ...COMMON,
    stdin: { contents: files.map((file) => `export * from '${file}';`).join('\n'), resolveDir: here('.'), loader: 'ts' },
    write: false,
    minify: true,
  });
  return createHash('sha256').update(outputFiles[0].contents).digest('hex').slice(0, HASH_LENGTH);
}

const here = (name: string): string => fileURLToPath(new URL(name, import.meta.url));
