import { RecordStore } from '../records/record-store.ts';
import { Slugs } from '../records/slug.ts';
import { beforeAfterPage } from '../reports/before-after-page.ts';
import type { ComparedSeries, ComparisonData, TrackedSeries } from '../reports/comparison-data.ts';
import { trackingPage } from '../reports/tracking-page.ts';
import { compareSeries, type SeriesFile } from './compare-series.ts';
import type { Comparing } from './comparing.ts';
import type { LoadedPipeline } from './read-pipeline.ts';
import { isReportFolder } from './report-folder.ts';
import { type RunOutcome, runFile } from './run-file-of.ts';
import type { RunOptions } from './run-options.ts';
import { scanSubject } from './scan-subject.ts';
import { trackSeries } from './track-series.ts';
import { writeComparison } from './write-comparison.ts';

type Options = Omit<RunOptions, 'worker' | 'jobs'> & { readonly comparing: Comparing };

/** Pairs are compared one after the other, in this process. */
const JOBS = 1;

/**
 * Compares the scans of each instrument of a pipeline and writes its report folder. Each record is stored as soon as it is there, a baseline's after its pairs;
 * pairs whose bytes, settings and program have not changed since an earlier run are not compared again. For tracking, the series come with their trends.
 *
 * @throws {Interrupted} when `signal` is raised; the records stored so far are kept
 */
export async function runComparison(loaded: LoadedPipeline, options: Options): Promise<ComparisonData<TrackedSeries>> {
  const startedAt = options.now().toISOString();
  const store = new RecordStore(options.out);
  const plan = planOf(loaded);
  const asked = plan.reduce((sum, { files }) => sum + files.length, 0);
  const outcomes: RunOutcome[] = [];
  const all: ComparedSeries[] = [];
  for (const { instrument, files } of plan) {
    const series = await compareSeries(instrument, files, {
      store,
      comparing: options.comparing,
      now: options.now,
      signal: options.signal,
      onScan: (outcome, stack) => {
        outcomes.push(outcome);
        const measured = { record: outcome.record, ...(stack === undefined ? {} : { stack }) };
        options.onScan({ done: outcomes.length, asked, measured, reused: outcome.reused });
      },
    });
    all.push(series);
  }
  if (await isReportFolder(options.out)) await store.keepOnly(new Set(outcomes.map(({ slug }) => slug)));
  const { title, limits = {}, intended = {}, kind } = loaded.pipeline;
  const run = await runFile(loaded, { jobs: JOBS, now: options.now }, startedAt, outcomes);
  const tracked = kind === 'tracking' ? trackSeries(all, limits) : all.map((series) => ({ ...series, tracked: [] }));
  const data = { title, limits, intended, series: tracked, single: loaded.single, run };
  await writeComparison(options.out, data, kind === 'tracking' ? trackingPage(data) : beforeAfterPage(data));
  return data;
}

function planOf({ series }: LoadedPipeline): readonly { readonly instrument: string; readonly files: readonly SeriesFile[] }[] {
  const slugs = new Slugs();
  return series.map(({ instrument, entries }) => ({
    instrument,
    files: entries.map(({ row, path }) => ({
      slug: slugs.unique(`${row.instrument} ${row.date ?? ''}`),
      task: { path, subject: scanSubject(row) },
    })),
  }));
}
