import { runCli } from './run-cli.ts';
import type { Surroundings } from './surroundings.ts';

/** Runs the command line of this process. */
export async function start(args: readonly string[], workerEntry: URL): Promise<void> {
  // A reader that has seen enough (`| head`) is no fault.
  process.stdout.on('error', (error: NodeJS.ErrnoException) => {
    if (error.code !== 'EPIPE') throw error;
    process.exit(0);
  });
  const surroundings: Surroundings = {
    stdout: (text) => process.stdout.write(text),
    stderr: (text) => process.stderr.write(text),
    now: () => new Date(),
    catchInterrupt,
    loadMeasuring: async () => {
      const [{ readScan }, { measureScan }] = await Promise.all([import('../formats/read-scan.ts'), import('../measures/measure-scan.ts')]);
      return { readScan, measureScan };
    },
    worker: { entry: workerEntry },
  };
  // Not `process.exit`: what is still being written to a pipe would be cut off.
  process.exitCode = await runCli(args, surroundings);
}

/** The first interrupt ends the work in order and keeps what is finished; a second one ends the process at once. */
function catchInterrupt(): AbortSignal {
  const interrupt = new AbortController();
  process.once('SIGINT', () => interrupt.abort());
  process.once('SIGTERM', () => interrupt.abort());
  return interrupt.signal;
}
