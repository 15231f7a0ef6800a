import pLimit from 'p-limit';
import type { Measured, MeasureTask } from './measure-file.ts';
import { WorkerPool, type WorkerOptions } from './worker-pool.ts';

export interface ManyOptions {
  /** Worker processes at work at once. */
  readonly jobs: number;
  readonly worker: WorkerOptions;
  /** Called as each scan is done, in whatever order that is. */
  readonly onMeasured?: (measured: Measured, index: number) => void | Promise<void>;
  readonly signal?: AbortSignal;
}

/** The work was interrupted: what was finished is kept. */
export class Interrupted extends Error {
  constructor() {
    super('interrupted: what was finished is kept, and the next run goes on from there');
    this.name = 'Interrupted';
  }
}

/**
 * Measures scans in worker processes; results come back in the order of `tasks`, whatever the number of workers.
 *
 * @throws {Interrupted} when `signal` is raised
 */
export async function measureMany(tasks: readonly MeasureTask[], options: ManyOptions): Promise<readonly Measured[]> {
  const pool = new WorkerPool(options.worker);
  const limit = pLimit(Math.max(1, Math.min(options.jobs, tasks.length)));
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
    const all = Promise.all(
      tasks.map((task, index) =>
        limit(async () => {
          const measured = await pool.measure(task);
          await options.onMeasured?.(measured, index);
          return measured;
        }),
      ),
    );
    return await Promise.race([all, interrupted]);
  } finally {
    stop();
  }
}
