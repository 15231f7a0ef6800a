import { type StoredFigures, storedFigures } from '../records/figures-file.ts';
import { parseFigures } from '../records/figures-schema.ts';
import { isFailed, type ScanRecord } from '../records/record.ts';
import { RecordStore } from '../records/record-store.ts';
import type { RunFile } from '../records/run-file.ts';
import { Slugs } from '../records/slug.ts';
import type { InstrumentScans } from '../reports/survey-data.ts';
import { isReportFolder } from './report-folder.ts';
import { isoDate } from './iso-date.ts';
import type { Measured, MeasureTask } from './measure-file.ts';
import { measureMany } from './measure-many.ts';
import type { CatalogueEntry } from './read-catalogue.ts';
import type { LoadedPipeline } from './read-pipeline.ts';
import { reusableRecord } from './reusable-record.ts';
import { runFile } from './run-file-of.ts';
import type { RunOptions } from './run-options.ts';
import { scanSubject } from './scan-subject.ts';
import { writeSurvey } from './write-survey.ts';

interface Job {
  readonly slug: string;
  readonly task: MeasureTask;
}

interface Outcome {
  readonly record: ScanRecord;
  readonly reused: boolean;
}

export interface SurveyRun {
  readonly records: readonly ScanRecord[];
  readonly run: RunFile;
}

/**
 * Measures the scans of a pipeline and writes its report folder. Each record is stored as soon as it is there; scans whose bytes,
 * settings and program have not changed since an earlier run are not measured again.
 *
 * @throws {Interrupted} when `signal` is raised; the records stored so far are kept
 */
export async function runSurvey(loaded: LoadedPipeline, options: RunOptions): Promise<SurveyRun> {
  const startedAt = options.now().toISOString();
  const store = new RecordStore(options.out);
  const jobs = jobsOf(loaded.entries);
  const outcomes = await measureJobs(store, jobs, options);
  const records = outcomes.map(({ record }) => record);
  if (await isReportFolder(options.out)) await store.keepOnly(new Set(jobs.map(({ slug }) => slug)));
  const run = await runFile(
    loaded,
    options,
    startedAt,
    outcomes.map((outcome, i) => ({ ...outcome, slug: (jobs[i] as Job).slug })),
  );
  const instruments = await instrumentScans(store, jobs, records);
  await writeSurvey(options.out, {
    title: loaded.pipeline.title,
    groupBy: loaded.pipeline.groupBy,
    limits: loaded.pipeline.limits ?? {},
    intended: loaded.pipeline.intended ?? {},
    records,
    instruments,
    run,
  });
  return { records, run };
}

/** One a scan; an instrument with several has their dates in the names. */
function jobsOf(entries: readonly CatalogueEntry[]): readonly Job[] {
  const slugs = new Slugs();
  const count = new Map<string, number>();
  for (const { row } of entries) count.set(row.instrument, (count.get(row.instrument) ?? 0) + 1);
  return entries.map(({ row, path }) => ({
    slug: slugs.unique((count.get(row.instrument) ?? 0) > 1 ? `${row.instrument} ${row.date ?? ''}` : row.instrument),
    task: { path, subject: scanSubject(row) },
  }));
}

async function measureJobs(store: RecordStore, jobs: readonly Job[], options: RunOptions): Promise<readonly Outcome[]> {
  const outcomes = new Array<Outcome>(jobs.length);
  let done = 0;
  const finish = (index: number, measured: Measured, reused: boolean): void => {
    outcomes[index] = { record: measured.record, reused };
    options.onScan({ done: ++done, asked: jobs.length, measured, reused });
  };
  const open: number[] = [];
  for (const [index, { slug, task }] of jobs.entries()) {
    const record = await reusableRecord(store, slug, task);
    if (record === undefined) open.push(index);
    else {
      await store.writeRecord(slug, record);
      finish(index, { record }, true);
    }
  }
  await measureMany(
    open.map((index) => (jobs[index] as Job).task),
    {
      jobs: options.jobs,
      worker: options.worker,
      signal: options.signal,
      onMeasured: async (measured, place) => {
        const index = open[place] as number;
        const { figures, record } = measured;
        await store.write((jobs[index] as Job).slug, record, figures === undefined ? undefined : storedFigures(record.scan, figures));
        finish(index, measured, false);
      },
    },
  );
  return outcomes;
}

async function instrumentScans(
  store: RecordStore,
  jobs: readonly Job[],
  records: readonly ScanRecord[],
): Promise<readonly InstrumentScans[]> {
  const slugs = new Slugs();
  const byName = new Map<string, { slug: string; scans: { record: ScanRecord; figures: StoredFigures | undefined }[] }>();
  for (const [index, record] of records.entries()) {
    const name = record.instrument ?? record.scan;
    let entry = byName.get(name);
    if (entry === undefined) {
      entry = { slug: slugs.unique(name), scans: [] };
      byName.set(name, entry);
    }
    const figures = isFailed(record) ? undefined : parseFigures(await store.readFigures((jobs[index] as Job).slug));
    entry.scans.push({ record, figures });
  }
  const time = (record: ScanRecord): number => isoDate(record.date ?? '') ?? 0;
  return [...byName].map(([instrument, { slug, scans }]) => ({
    instrument,
    slug,
    scans: scans.sort((a, b) => time(a.record) - time(b.record)),
  }));
}
