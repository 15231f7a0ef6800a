import { join } from 'node:path';
import { type BuiltWorker, buildWorker } from '../build-worker.ts';
import { progress, say } from '../progress.ts';
import { planHash, ResultsFile, type Stored } from '../results-file.ts';
import { runPlan } from '../run-plan.ts';
import { refuseUnknown, type StudySettings } from '../study-settings.ts';
import { writeReport } from '../write-report.ts';
import { PAIR_GROUPS, PAIR_PLAN_VERSION, type PairEntry, type PairJob, type PairModelName, pairPlan } from './pair-plan.ts';
import type { PairResult } from './pair-result.ts';
import { pairTables } from './pair-tables.ts';

const PARTS: Readonly<Record<PairModelName, readonly string[]>> = {
  a: ['./pairs/pair-model-a.ts', './pairs/compare-job.ts'],
  b: ['./pairs/pair-model-b.ts', './pairs/compare-job.ts'],
};

/** The second part of the study: repeat scans held against their baselines. */
export async function studyPairs(settings: StudySettings): Promise<void> {
  const jobs = chosen(pairPlan(), settings);
  const wanted = jobs.flatMap((j) => j.pairs);
  const file = new ResultsFile<PairResult>(join(settings.out, 'results.jsonl'), PAIR_PLAN_VERSION);
  const worker = await buildWorker('pairs/pair-worker.ts', PARTS);
  try {
    const valid = (pair: PairEntry): Stored<PairResult> | undefined => {
      const found = file.find(pair);
      return found !== undefined && (settings.stale === 'keep' || found.sources === worker.sources[pair.model]) ? found : undefined;
    };
    const missing = jobs
      .map((job) => ({ ...job, pairs: job.pairs.filter((pair) => valid(pair) === undefined) }))
      .filter((job) => job.pairs.length > 0);
    const left = missing.reduce((sum, job) => sum + job.pairs.length, 0);
    say(`${left} pairs of ${missing.length} baselines to do in ${settings.jobs} processes, ${wanted.length - left} pairs done already`);
    if (!settings.report) await run(missing, settings.jobs, worker, file);
    const results = wanted.map(valid).filter((r) => r !== undefined);
    const instruments = new Set(results.map((r) => `${r.model}-${r.instrument}`)).size;
    const lead = `${results.length} of ${wanted.length} pairs, of ${instruments} instruments. Errors in mm or degrees against the models' true changes.`;
    writeReport(settings.out, 'Accuracy of changes', lead, pairTables(results));
  } finally {
    await worker.remove();
  }
}

/** The first `limit` baselines, with those pairs that are asked for. */
function chosen(plan: readonly PairJob[], { only, limit }: StudySettings): readonly PairJob[] {
  const names = (job: PairJob, pair: PairEntry): string[] => [job.key, job.model, pair.group, `${pair.group}-${pair.model}`, pair.key];
  refuseUnknown(
    only,
    new Set(plan.flatMap((job) => job.pairs.flatMap((pair) => names(job, pair)))),
    PAIR_GROUPS.map((g) => g.name),
  );
  return plan
    .map((job) => ({ ...job, pairs: job.pairs.filter((pair) => only === undefined || names(job, pair).some((n) => only.includes(n))) }))
    .filter((job) => job.pairs.length > 0)
    .slice(0, limit);
}

async function run(
  missing: readonly PairJob[],
  jobs: number,
  worker: BuiltWorker<PairModelName>,
  file: ResultsFile<PairResult>,
): Promise<void> {
  const step = progress(missing.length);
  await runPlan<PairJob, readonly PairResult[]>(missing, {
    worker: worker.entry,
    jobs,
    onResult: (job, results) => {
      for (const [i, result] of results.entries())
        file.add({ plan: planHash(job.pairs[i], PAIR_PLAN_VERSION), sources: worker.sources[job.model], ...result });
      const seconds = results.reduce((sum, { seconds: s }) => sum + s.make + s.open + s.compare, 0);
      step(`${job.key}: ${results.map((r) => r.failed?.code ?? 'compared').join(', ')} (${seconds.toFixed(0)} s)`);
    },
    onDeath: (job, how) => {
      process.exitCode = 1;
      step(`${job.key}: the process died (${how}); the next run tries again`);
    },
  });
}
