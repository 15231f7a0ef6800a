import { compareScans } from '../change/compare-scans.ts';
import { InputError } from '../geometry/input-error.ts';
import { measureOpened } from '../measures/measure-scan.ts';
import { type OpenedScan, openScan } from '../measures/open-scan.ts';
import { type ComparisonRecord, comparisonRecord } from '../records/comparison-record.ts';
import { failedRecord, failureOf } from '../records/failed-record.ts';
import { measuredRecord } from '../records/measured-record.ts';
import type { Subject } from '../records/subject.ts';
import type { Measuring } from './measure-file.ts';
import { measureOptions } from './measure-options.ts';

export interface ComparedFile {
  readonly path: string;
  readonly subject: Subject;
}

export interface Compared {
  readonly record: ComparisonRecord;
  /** Where a fault of the program came from. */
  readonly stack?: string;
}

/**
 * Compares later scans with a baseline, one after the other. Never throws: what went wrong is in the record of its pair, and a baseline that cannot be used fails
 * all of its pairs.
 *
 * @param onCompared  hears of each pair as soon as it is there, in the order given
 */
export async function compareFiles(
  readScan: Measuring['readScan'],
  baseline: ComparedFile,
  later: readonly ComparedFile[],
  now: () => Date,
  onCompared: (compared: Compared) => void,
): Promise<readonly Compared[]> {
  let first: OpenedScan | Error;
  try {
    first = (await opened(readScan, baseline)).scan;
  } catch (error) {
    first = error instanceof Error ? error : new Error(String(error));
  }
  const all: Compared[] = [];
  for (const file of later) {
    const compared = await comparePair(readScan, baseline, first, file, now);
    all.push(compared);
    onCompared(compared);
  }
  return all;
}

async function opened(readScan: Measuring['readScan'], { path, subject }: ComparedFile) {
  const { scan, sha256 } = await readScan(path);
  return { scan: openScan(scan, measureOptions(subject.settings)), sha256 };
}

async function comparePair(
  readScan: Measuring['readScan'],
  baseline: ComparedFile,
  first: OpenedScan | Error,
  file: ComparedFile,
  now: () => Date,
): Promise<Compared> {
  const name = baseline.subject.scan;
  let subject = file.subject;
  try {
    if (first instanceof Error) throw ofBaseline(first, name);
    const { scan, sha256 } = await opened(readScan, file);
    subject = { ...subject, sha256 };
    const result = compareScans(first, scan, scaleOptions(baseline.subject, subject));
    const own = measuredRecord(subject, scan.scan, measureOpened(scan, measureOptions(subject.settings)), now().toISOString());
    return { record: comparisonRecord(own, name, result) };
  } catch (error) {
    const failed = failureOf(error);
    const stack = !(error instanceof InputError) && error instanceof Error ? { stack: error.stack ?? error.message } : {};
    return { record: { ...failedRecord(subject, failed, now().toISOString()), baseline: name }, ...stack };
  }
}

function ofBaseline(error: Error, name: string): Error {
  return error instanceof InputError ? new InputError(error.code, `the baseline ${name} cannot be used: ${error.message}`) : error;
}

const scaleOptions = (first: Subject, second: Subject) => {
  const [a, b] = [first.catalogue?.['scanner'], second.catalogue?.['scanner']];
  return {
    scaleU: [first.settings.scaleU ?? 0, second.settings.scaleU ?? 0] as const,
    scanners: a !== undefined && a === b ? ('same' as const) : ('different' as const),
  };
};
