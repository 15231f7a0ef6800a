import type { ComparisonRecord } from '../records/comparison-record.ts';
import { parseComparison } from '../records/comparison-schema.ts';
import { FAULT_CODE } from '../records/failed-record.ts';
import { hashFile } from '../records/hash-file.ts';
import { isFailed, type ScanRecord } from '../records/record.ts';
import { parseRecord } from '../records/record-schema.ts';
import type { RecordStore } from '../records/record-store.ts';
import { SOFTWARE } from '../records/software.ts';
import { subjectKeys } from '../records/subject.ts';
import type { MeasureTask } from './measure-file.ts';

/** Failures that another run may not meet: memory, permissions, a fault that was mended. */
const TRY_AGAIN: readonly string[] = [FAULT_CODE, 'unreadable', 'too-large'];

/**
 * The stored record of a scan, if the same bytes were measured with the same settings by the same program; what the catalogue
 * says besides is brought up to date. Undefined where the scan has to be measured.
 */
export async function reusableRecord(store: RecordStore, slug: string, task: MeasureTask): Promise<ScanRecord | undefined> {
  const record = parseRecord(await store.readRecord(slug));
  if (record === undefined) return undefined;
  if (!isFailed(record) && (await store.readFigures(slug)) === undefined) return undefined;
  return broughtUpToDate(record, task);
}

/** The stored record of a baseline, in the same way; it stands for all that its pairs depend on, so its scanner counts too. */
export async function reusableBaseline(store: RecordStore, slug: string, task: MeasureTask): Promise<ScanRecord | undefined> {
  const record = parseRecord(await store.readRecord(slug));
  return record === undefined || !sameScanner(record, task) ? undefined : broughtUpToDate(record, task);
}

/** The stored record of a pair, in the same way, if it was held against this baseline. That the baseline is still the same is for the caller to know. */
export async function reusablePair(
  store: RecordStore,
  slug: string,
  task: MeasureTask,
  baseline: string,
): Promise<ComparisonRecord | undefined> {
  const record = parseComparison(await store.readRecord(slug));
  return record === undefined || record.baseline !== baseline || !sameScanner(record, task) ? undefined : broughtUpToDate(record, task);
}

const sameScanner = (record: ScanRecord | ComparisonRecord, { subject }: MeasureTask): boolean =>
  record.catalogue?.['scanner'] === subject.catalogue?.['scanner'];

/** The record with what the catalogue says now, if the same bytes, settings and program made it. */
async function broughtUpToDate<R extends ScanRecord | ComparisonRecord>(record: R, task: MeasureTask): Promise<R | undefined> {
  if (record.sha256 === undefined) return undefined;
  if ('failed' in record && TRY_AGAIN.includes(record.failed.code)) return undefined;
  if (!same(record.software, SOFTWARE) || !same(record.settings, task.subject.settings)) return undefined;
  const sha256 = await hashFile(task.path).catch(() => undefined);
  if (sha256 !== record.sha256) return undefined;
  // What the catalogue decides, not the scan, is taken out and put anew, in the order of all records.
  const { record: _version, scan: _scan, sha256: _bytes, instrument: _instrument, date: _date, catalogue: _notes, ...rest } = record;
  return { ...subjectKeys({ ...task.subject, sha256 }), ...rest } as R;
}

const same = (a: unknown, b: unknown): boolean => JSON.stringify(a) === JSON.stringify(b);
