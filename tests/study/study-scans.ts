import { join } from 'node:path';
import { type BuiltWorker, buildWorker } from './build-worker.ts';
import { MODELS, type Model, type PlanEntry, studyPlan } from './plan.ts';
import { progress, say } from './progress.ts';
import { planHash, ResultsFile, type StoredResult } from './results-file.ts';
import { runPlan } from './run-plan.ts';
import type { StudyResult } from './study-result.ts';
import { refuseUnknown, type StudySettings } from './study-settings.ts';
import { studyTables } from './study-tables.ts';
import { timeTable } from './time-table.ts';
import { writeReport } from './write-report.ts';

const PARTS: Readonly<Record<Model, readonly string[]>> = {
  a: ['./model-a.ts', './study-scan.ts'],
  b: ['./model-b.ts', './study-scan.ts'],
};

/** The first part of the study: scans by themselves. */
export async function studyScans(settings: StudySettings): Promise<void> {
  const wanted = chosen(studyPlan(), settings);
  const file = new ResultsFile(join(settings.out, 'results.jsonl'));
  const worker = await buildWorker('study-worker.ts', PARTS);
  try {
    const valid = (entry: PlanEntry): StoredResult | undefined => {
      const found = file.find(entry);
      return found !== undefined && (settings.stale === 'keep' || found.sources === worker.sources[entry.model]) ? found : undefined;
    };
    const missing = wanted.filter((entry) => valid(entry) === undefined);
    say(`${missing.length} scans to do in ${settings.jobs} processes, ${wanted.length - missing.length} done already`);
    if (!settings.report) await run(missing, settings.jobs, worker, file);
    const results = wanted.map(valid).filter((r) => r !== undefined);
    const lead = `${results.length} of ${wanted.length} scans. Errors in mm or degrees against the models' true values.`;
    writeReport(settings.out, 'Accuracy study', lead, [...studyTables(results), timeTable(results)]);
  } finally {
    await worker.remove();
  }
}

function chosen(plan: readonly PlanEntry[], { only, limit }: StudySettings): readonly PlanEntry[] {
  const names = (e: PlanEntry): string[] => [e.group, e.model, `${e.group}-${e.model}`, e.key];
  refuseUnknown(
    only,
    new Set([...plan.flatMap(names), ...MODELS]),
    plan.map((e) => e.group),
  );
  return plan.filter((e) => e.number < limit && (only === undefined || names(e).some((n) => only.includes(n))));
}

async function run(missing: readonly PlanEntry[], jobs: number, worker: BuiltWorker<Model>, file: ResultsFile): Promise<void> {
  const step = progress(missing.length);
  await runPlan<PlanEntry, StudyResult>(missing, {
    worker: worker.entry,
    jobs,
    onResult: (entry, result) => {
      file.add({ plan: planHash(entry), sources: worker.sources[entry.model], ...result });
      const { make, read, measure } = result.seconds;
      step(
        `${entry.key}: ${result.failed?.code ?? 'measured'} (made in ${make.toFixed(1)} s, read in ${read.toFixed(1)} s, measured in ${measure.toFixed(1)} s)`,
      );
    },
    onDeath: (entry, how) => {
      process.exitCode = 1;
      step(`${entry.key}: the process died (${how}); the next run tries again`);
    },
  });
}
