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
  if (record === undefined || record.sha256 === undefined) return undefined;
  if (isFailed(record) && TRY_AGAIN.includes(record.failed.code)) return undefined;
  if (!same(record.software, SOFTWARE) || !same(record.settings, task.subject.settings)) return undefined;
  if (!isFailed(record) && (await store.readFigures(slug)) === undefined) return undefined;
  const sha256 = await hashFile(task.path).catch(() => undefined);
  if (sha256 !== record.sha256) return undefined;
  const rest = Object.entries(record).filter(([key]) => !HEAD_KEYS.has(key));
  return { ...subjectKeys({ ...task.subject, sha256 }), ...Object.fromEntries(rest) } as ScanRecord;
}

/** What the catalogue decides, not the scan. */
const HEAD_KEYS: ReadonlySet<string> = new Set(['record', 'scan', 'sha256', 'instrument', 'date', 'catalogue']);

const same = (a: unknown, b: unknown): boolean => JSON.stringify(a) === JSON.stringify(b);
