import { type ChildProcess, fork } from 'node:child_process';

/** Megabytes of JavaScript heap of a worker: bulk data lies outside it. */
const HEAP_MEGABYTES = 3072;

/**
 * Runs entries in `jobs` worker processes. A worker that dies costs its entry only: it is reported, not stored, so that the next run tries again.
 *
 * @param onResult  called in the order in which entries are done
 */
export async function runPlan<E extends object, R>(
  entries: readonly E[],
  options: {
    readonly worker: string;
    readonly jobs: number;
    readonly onResult: (entry: E, result: R) => void;
    readonly onDeath: (entry: E, how: string) => void;
  },
): Promise<void> {
  const waiting = [...entries];
  const slot = async (): Promise<void> => {
    let worker: ChildProcess | undefined;
    for (let entry = waiting.shift(); entry !== undefined; entry = waiting.shift()) {
      worker ??= fork(options.worker, {
        execArgv: [`--max-old-space-size=${HEAP_MEGABYTES}`],
        stdio: ['ignore', 'ignore', 'inherit', 'ipc'],
      });
      const outcome = await ask<R>(worker, entry);
      if (typeof outcome === 'string') {
        options.onDeath(entry, outcome);
        worker = undefined;
      } else options.onResult(entry, outcome);
    }
    worker?.disconnect();
  };
  await Promise.all(Array.from({ length: Math.min(options.jobs, entries.length) }, slot));
}

/** A worker's result, or how it died. */
function ask<R>(worker: ChildProcess, entry: object): Promise<R | string> {
  return new Promise((resolve) => {
    const onMessage = (result: R): void => {
      worker.off('exit', onExit);
      resolve(result);
    };
    const onExit = (code: number | null, signal: string | null): void => {
      worker.off('message', onMessage);
      resolve(signal ?? `exit code ${code}`);
    };
    worker.once('message', onMessage).once('exit', onExit);
    worker.send(entry);
  });
}
