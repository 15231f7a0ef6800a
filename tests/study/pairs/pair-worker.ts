import { compareJob } from './compare-job.ts';
import { PAIR_MODELLED } from './pair-models.ts';
import type { PairJob } from './pair-plan.ts';

// One job after the other, as the parent sends them.
process.on('message', (job: PairJob) => {
  void compareJob(job, PAIR_MODELLED[job.model]).then((results) => process.send?.(results));
});
process.on('disconnect', () => process.exit(0));
