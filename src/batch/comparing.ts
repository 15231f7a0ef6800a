import { FAULT_CODE, failedRecord, type Told } from '../records/failed-record.ts';
import type { ComparisonRecord } from '../records/comparison-record.ts';
import type { MeasuredRecord } from '../records/record.ts';
import type { Subject } from '../records/subject.ts';

export interface ComparedFile {
  readonly path: string;
  readonly subject: Subject;
}

export interface Compared {
  readonly record: ComparisonRecord;
  /** Where a fault of the program came from. */
  readonly stack?: string;
}

/** A baseline that is open for later scans to be held against. */
export interface OpenBaseline {
  /**
   * Its own record.
   *
   * @throws {InputError} or whatever else keeps it from being measured
   */
  readonly record: () => Promise<MeasuredRecord>;
  /** Never throws: what went wrong is in the record. */
  readonly compare: (later: ComparedFile) => Promise<Compared>;
}

/**
 * Opens a baseline; an argument, so that tests can put their own in place.
 *
 * @throws {InputError} where it cannot be read or measured
 */
export type Comparing = (baseline: ComparedFile, now: () => Date) => Promise<OpenBaseline>;

/** What stands for a pair that could not be compared. */
export function failedPair({ failed, ...stack }: Told, subject: Subject, baseline: string, now: () => Date): Compared {
  return { record: { ...failedRecord(subject, failed, now().toISOString()), baseline }, ...stack };
}

/** The same failure, said of the baseline. */
export const ofBaseline = ({ failed, ...stack }: Told, name: string): Told => ({
  failed: failed.code === FAULT_CODE ? failed : { ...failed, message: `the baseline ${name} cannot be used: ${failed.message}` },
  ...stack,
});
