import { RecordStore } from '../records/record-store.ts';
import { Slugs } from '../records/slug.ts';
import { beforeAfterPage } from '../reports/before-after-page.ts';
import type { ComparedSeries, ComparisonData, TrackedSeries } from '../reports/comparison-data.ts';
import { trackingPage } from '../reports/tracking-page.ts';
import pLimit from 'p-limit';
import { comparingInWorkers } from './compare-in-workers.ts';
import { compareSeries, type SeriesFile } from './compare-series.ts';
import type { LoadedPipeline } from './read-pipeline.ts';
import { isReportFolder } from './report-folder.ts';
import { type RunOutcome, runFile } from './run-file-of.ts';
import type { RunOptions } from './run-options.ts';
import { scanSubject } from './scan-subject.ts';
import { trackSeries } from './track-series.ts';
import { withWorkers } from './with-workers.ts';
import { writeComparison } from './write-comparison.ts';

/**
 * Compares the scans of each instrument of a pipeline and writes its report folder. Each record is stored as soon as it is there, a baseline's after its pairs;
 * pairs whose bytes, settings and program have not changed since an earlier run are not compared again. For tracking, the series come with their trends.
 *
 * @throws {Interrupted} when `signal` is raised; the records stored so far are kept
 */
export async function runComparison(loaded: LoadedPipeline, options: RunOptions): Promise<ComparisonData<TrackedSeries>> {
  const startedAt = options.now().toISOString();
  const store = new RecordStore(options.out);
  const plan = planOf(loaded);
  const asked = plan.reduce((sum, { files }) => sum + files.length, 0);
  const outcomes: RunOutcome[] = [];
  // As many instruments at once as there are workers, so that each has its baseline open for all of its pairs; what is left over goes to the pairs of one instrument.
  const jobs = Math.max(1, Math.floor(options.jobs / Math.max(1, Math.min(options.jobs, plan.length))));
  const all = await withWorkers(options, (pool, limit) => {
    const comparing = comparingInWorkers(pool, limit);
    const atOnce = pLimit(Math.max(1, options.jobs));
    const compared = ({ instrument, files }: Planned): Promise<ComparedSeries> =>
      compareSeries(instrument, files, {
        store,
        comparing,
        jobs,
        now: options.now,
        signal: options.signal,
        onScan: (outcome, stack) => {
          outcomes.push(outcome);
          const measured = { record: outcome.record, ...(stack === undefined ? {} : { stack }) };
          options.onScan({ done: outcomes.length, asked, measured, reused: outcome.reused });
        },
      });
    return Promise.all(plan.map((planned) => atOnce(compared, planned)));
  });
  const order = new Map(plan.flatMap(({ files }) => files).map(({ slug }, i) => [slug, i]));
  outcomes.sort((a, b) => (order.get(a.slug) ?? 0) - (order.get(b.slug) ?? 0));
  if (await isReportFolder(options.out)) await store.keepOnly(new Set(outcomes.map(({ slug }) => slug)));
  const { title, limits = {}, intended = {}, kind } = loaded.pipeline;
  const run = await runFile(loaded, options, startedAt, outcomes);
  const tracked = kind === 'tracking' ? trackSeries(all, limits) : all.map((series) => ({ ...series, tracked: [] }));
  const data = { title, limits, intended, series: tracked, single: loaded.single, run };
  await writeComparison(options.out, data, kind === 'tracking' ? trackingPage(data) : beforeAfterPage(data));
  return data;
}

interface Planned {
  readonly instrument: string;
  readonly files: readonly SeriesFile[];
}

function planOf({ series }: LoadedPipeline): readonly Planned[] {
  const slugs = new Slugs();
  return series.map(({ instrument, entries }) => ({
    instrument,
    files: entries.map(({ row, path }) => ({
      slug: slugs.unique(`${row.instrument} ${row.date ?? ''}`),
      task: { path, subject: scanSubject(row) },
    })),
  }));
}
