import pLimit, { type LimitFunction } from 'p-limit';
import { type WorkerOptions, WorkerPool } from './worker-pool.ts';

/** The work was interrupted: what was finished is kept. */
export class Interrupted extends Error {
  constructor() {
    super('interrupted: what was finished is kept, and the next run goes on from there');
    this.name = 'Interrupted';
  }
}

export interface WorkersOptions {
  /** Worker processes at work at once. */
  readonly jobs: number;
  readonly worker: WorkerOptions;
  readonly signal?: AbortSignal;
}

/**
 * Runs work that uses worker processes, and ends them with it.
 *
 * @param work  gets the workers and the limit under which each of their tasks is to run
 * @throws {Interrupted} when `signal` is raised
 */
export async function withWorkers<T>(options: WorkersOptions, work: (pool: WorkerPool, limit: LimitFunction) => Promise<T>): Promise<T> {
  const pool = new WorkerPool(options.worker);
  const limit = pLimit(Math.max(1, options.jobs));
  const stop = (): void => {
    limit.clearQueue();
    pool.close();
  };
  const interrupted = new Promise<never>((_, reject) => {
    options.signal?.addEventListener(
      'abort',
      () => {
        stop();
        reject(new Interrupted());
      },
      { once: true },
    );
  });
  try {
    if (options.signal?.aborted) throw new Interrupted();
    return await Promise.race([work(pool, limit), interrupted]);
  } finally {
    stop();
  }
}
