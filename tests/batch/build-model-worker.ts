import { rm } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';

/** Where tests find the worker: of this run alone, since several may be under way. */
const VARIABLE = 'NECKSIGHT_MODEL_WORKER';

/** The worker of `model-worker.ts` as plain JavaScript: it starts in a tenth of the time that TypeScript takes. */
export const modelWorkerEntry = (): string => process.env[VARIABLE] as string;

/** Before all tests. */
export async function setup(): Promise<void> {
  // Inside the project, so that packages are found from there.
  const out = fileURLToPath(new URL(`../../node_modules/.necksight-test/${process.pid}/model-worker.mjs`, import.meta.url));
  await build({
    entryPoints: [fileURLToPath(new URL('model-worker.ts', import.meta.url))],
    outfile: out,
    bundle: true,
    format: 'esm',
    platform: 'node',
    packages: 'external',
    sourcemap: 'inline',
    logLevel: 'warning',
  });
  process.env[VARIABLE] = out;
}

/** After all tests. */
export const teardown = (): Promise<void> =>
  rm(fileURLToPath(new URL('.', `file://${modelWorkerEntry()}`)), { recursive: true, force: true });
