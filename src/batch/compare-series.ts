import { setImmediate } from 'node:timers/promises';
import pLimit from 'p-limit';
import type { ComparisonRecord } from '../records/comparison-record.ts';
import { failedRecord, toldOf } from '../records/failed-record.ts';
import { isFailed, type FailedRecord, type MeasuredRecord, type ScanRecord } from '../records/record.ts';
import type { RecordStore } from '../records/record-store.ts';
import type { ComparedSeries } from '../reports/comparison-data.ts';
import { acrossReset, liesAcross, resetBetween } from './across-reset.ts';
import type { Compared, ComparedFile, Comparing, OpenBaseline } from './comparing.ts';
import { identified } from './identified.ts';
import { isoDate } from './iso-date.ts';
import { Interrupted } from './with-workers.ts';
import { reusableBaseline, reusablePair } from './reusable-record.ts';
import type { RunOutcome } from './run-file-of.ts';

/** One scan of a series and the name of its record. */
export interface SeriesFile {
  readonly slug: string;
  readonly task: ComparedFile;
}

export interface SeriesOptions {
  readonly store: RecordStore;
  readonly comparing: Comparing;
  readonly now: () => Date;
  readonly signal: AbortSignal;
  /** Pairs at work at once. */
  readonly jobs: number;
  /** Hears of each scan as soon as it is there. */
  readonly onScan: (outcome: RunOutcome, stack: string | undefined) => void;
}

interface Baseline {
  readonly file: SeriesFile;
  readonly record: MeasuredRecord;
  readonly reused: boolean;
  /** Where it was opened in this run. */
  readonly open?: OpenBaseline;
}

/**
 * Holds the scans of one instrument against the first of them that can be measured. A baseline's record is stored last: where it is there and up to date, the
 * pairs beside it were made with it.
 *
 * @param files  the one to compare against first
 * @throws {Interrupted} when the signal is raised; what is stored is kept
 */
export async function compareSeries(instrument: string, files: readonly SeriesFile[], options: SeriesOptions): Promise<ComparedSeries> {
  const unusable: FailedRecord[] = [];
  for (const [i, file] of files.entries()) {
    await orInterrupted(options.signal);
    const baseline = await baselineFrom(file, options);
    if ('failed' in baseline) {
      unusable.push(baseline);
      continue;
    }
    const comparisons = await pairsOf(baseline, files.slice(i + 1), options);
    if (!baseline.reused) {
      await options.store.writeRecord(file.slug, baseline.record);
    }
    return { instrument, baseline: baseline.record, comparisons, unusable };
  }
  return { instrument, comparisons: [], unusable };
}

/** Lets an interrupt be heard: comparing itself gives it no chance. */
async function orInterrupted(signal: AbortSignal): Promise<void> {
  await setImmediate();
  if (signal.aborted) throw new Interrupted();
}

async function baselineFrom(file: SeriesFile, options: SeriesOptions): Promise<Baseline | FailedRecord> {
  const { slug, task } = file;
  const { store, onScan } = options;
  const kept = await reusableBaseline(store, slug, task);
  if (kept !== undefined) {
    await store.writeRecord(slug, kept);
    onScan({ slug, record: kept, reused: true }, undefined);
    return isFailed(kept) ? kept : { file, record: kept, reused: true };
  }
  await store.removeRecord(slug);
  try {
    const open = await options.comparing(task, options.now);
    const record = await open.record();
    onScan({ slug, record, reused: false }, undefined);
    return { file, record, reused: false, open };
  } catch (error) {
    const { failed, stack } = toldOf(error);
    const record = failedRecord(await identified(task.subject, task.path), failed, options.now().toISOString());
    await store.writeRecord(slug, record);
    onScan({ slug, record, reused: false }, stack);
    return record;
  }
}

async function pairsOf(baseline: Baseline, files: readonly SeriesFile[], options: SeriesOptions): Promise<readonly ComparisonRecord[]> {
  const { store, onScan } = options;
  const limit = pLimit(options.jobs);
  let opening: Promise<OpenBaseline> | undefined = baseline.open && Promise.resolve(baseline.open);
  const pairOf = async ({ slug, task }: SeriesFile): Promise<ComparisonRecord> => {
    await orInterrupted(options.signal);
    const across = resetBetween(
      baseline.file.task.subject,
      task.subject,
      files.map((f) => f.task.subject),
    );
    const stored = baseline.reused ? await reusablePair(store, slug, task, baseline.record.scan) : undefined;
    // What a reset made absent is not in the stored record: without the event it has to be compared again.
    const kept = stored !== undefined && liesAcross(stored) && !across ? undefined : stored;
    let compared: Compared;
    if (kept !== undefined) compared = { record: kept };
    else {
      opening ??= options.comparing(baseline.file.task, options.now);
      compared = await (await opening).compare(task);
    }
    if (across) compared = { ...compared, record: acrossReset(compared.record) };
    await store.writeRecord(slug, compared.record);
    onScan({ slug, record: compared.record, reused: kept !== undefined }, compared.stack);
    return compared.record;
  };
  const records = await Promise.all(files.map((file) => limit(pairOf, file)));
  return records.sort((a, b) => dateOf(a) - dateOf(b));
}

const dateOf = (record: ScanRecord | ComparisonRecord): number => isoDate(record.date ?? '') ?? 0;
