import type { LimitFunction } from 'p-limit';
import { type Told, ToldFailure } from '../records/failed-record.ts';
import { type Compared, type Comparing, failedPair } from './comparing.ts';
import type { WorkerPool } from './worker-pool.ts';

/** Compares in worker processes: a baseline is opened by each of them that gets a pair of it. A worker that dies takes only its pair with it. */
export function comparingInWorkers(pool: WorkerPool, limit: LimitFunction): Comparing {
  return async (baseline) => ({
    record: async () => {
      const answer = await limit(() => pool.run({ kind: 'baseline', baseline }, (told: Told) => told));
      if ('failed' in answer) throw new ToldFailure(answer);
      return answer.record;
    },
    compare: (later) =>
      limit(() =>
        pool.run(
          { kind: 'compare', baseline, later },
          (told): Compared => failedPair(told, later.subject, baseline.subject.scan, () => new Date()),
        ),
      ),
  });
}
