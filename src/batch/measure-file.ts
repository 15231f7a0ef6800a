import type { Scan } from '../geometry/scan.ts';
import type { Figures, MeasureScan } from '../measures/result.ts';
import { failedRecord, toldOf } from '../records/failed-record.ts';
import { measuredRecord } from '../records/measured-record.ts';
import type { ScanRecord } from '../records/record.ts';
import type { Subject } from '../records/subject.ts';
import { identified } from './identified.ts';
import { measureOptions } from './measure-options.ts';

/** The two steps from a file to a result; an argument, so that tests can put their own in place. */
export interface Measuring {
  readonly readScan: (path: string) => Promise<{ readonly scan: Scan; readonly sha256: string }>;
  readonly measureScan: MeasureScan;
}

export interface MeasureTask {
  /** Where the file is. */
  readonly path: string;
  readonly subject: Subject;
}

export interface Measured {
  readonly record: ScanRecord;
  readonly figures?: Figures;
  /** Where a fault of the program came from. */
  readonly stack?: string;
}

/** Reads and measures one scan. Never throws: what went wrong is in the record. */
export async function measureFile(measuring: Measuring, task: MeasureTask, now: () => Date): Promise<Measured> {
  let subject = task.subject;
  try {
    const { scan, sha256 } = await measuring.readScan(task.path);
    subject = { ...subject, sha256 };
    const result = measuring.measureScan(scan, measureOptions(subject.settings));
    return { record: measuredRecord(subject, scan, result, now().toISOString()), figures: result.figures };
  } catch (error) {
    const { failed, ...stack } = toldOf(error);
    return { record: failedRecord(await identified(subject, task.path), failed, now().toISOString()), ...stack };
  }
}
