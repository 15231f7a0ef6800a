import type { LimitFunction } from 'p-limit';
import { failedRecord, ToldFailure } from '../records/failed-record.ts';
import type { Compared, Comparing } from './comparing.ts';
import type { Told } from './tasks.ts';
import type { WorkerPool } from './worker-pool.ts';

/** Compares in worker processes: a baseline is opened by each of them that gets a pair of it. A worker that dies takes only its pair with it. */
export function comparingInWorkers(pool: WorkerPool, limit: LimitFunction): Comparing {
  return async (baseline) => ({
    record: async () => {
      const answer = await limit(() => pool.run({ kind: 'baseline', baseline }, (told: Told) => told));
      if ('failed' in answer) throw new ToldFailure(answer.failed, answer.stack);
      return answer.record;
    },
    compare: (later) =>
      limit(() =>
        pool.run(
          { kind: 'compare', baseline, later },
          ({ failed, ...stack }): Compared => ({
            record: { ...failedRecord(later.subject, failed, new Date().toISOString()), baseline: baseline.subject.scan },
            ...stack,
          }),
        ),
      ),
  });
}
