import { failedRecord } from '../records/failed-record.ts';
import type { Measured, MeasureTask } from './measure-file.ts';
import { withWorkers, type WorkersOptions } from './with-workers.ts';

export interface ManyOptions extends WorkersOptions {
  /** Called as each scan is done, in whatever order that is. */
  readonly onMeasured?: (measured: Measured, index: number) => void | Promise<void>;
}

/**
 * Measures scans in worker processes; results come back in the order of `tasks`, whatever the number of workers.
 *
 * @throws {Interrupted} when `signal` is raised
 */
export function measureMany(tasks: readonly MeasureTask[], options: ManyOptions): Promise<readonly Measured[]> {
  return withWorkers(options, (pool, limit) =>
    Promise.all(
      tasks.map((task, index) =>
        limit(async () => {
          const measured = await pool.run({ kind: 'measure', task }, ({ failed, ...stack }) => ({
            record: failedRecord(task.subject, failed, new Date().toISOString()),
            ...stack,
          }));
          await options.onMeasured?.(measured, index);
          return measured;
        }),
      ),
    ),
  );
}
