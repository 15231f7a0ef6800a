import { compareScans } from '../change/compare-scans.ts';
import { measureOpened } from '../measures/measure-scan.ts';
import { type OpenedScan, openScan } from '../measures/open-scan.ts';
import { comparisonRecord } from '../records/comparison-record.ts';
import { toldOf } from '../records/failed-record.ts';
import { measuredRecord } from '../records/measured-record.ts';
import type { MeasuredRecord } from '../records/record.ts';
import type { Subject } from '../records/subject.ts';
import { type Compared, type ComparedFile, failedPair, ofBaseline, type OpenBaseline } from './comparing.ts';
import type { Measuring } from './measure-file.ts';
import { measureOptions } from './measure-options.ts';

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
  const compare = await openBaseline(readScan, baseline, now).then(
    (opened) => opened.compare,
    (error: unknown) =>
      async ({ subject }: ComparedFile): Promise<Compared> =>
        failedPair(ofBaseline(toldOf(error), baseline.subject.scan), subject, baseline.subject.scan, now),
  );
  const all: Compared[] = [];
  for (const file of later) {
    const compared = await compare(file);
    all.push(compared);
    onCompared(compared);
  }
  return all;
}

/**
 * Opens a baseline.
 *
 * @throws {InputError} where it cannot be read or measured
 */
export async function openBaseline(readScan: Measuring['readScan'], file: ComparedFile, now: () => Date): Promise<OpenBaseline> {
  const { scan, subject } = await opened(readScan, file);
  return {
    record: async () => ownRecord(scan, subject, now),
    compare: async (later) => {
      let known = later.subject;
      try {
        const second = await opened(readScan, later);
        known = second.subject;
        const result = compareScans(scan, second.scan, scaleOptions(subject, known));
        return { record: comparisonRecord(ownRecord(second.scan, known, now), subject.scan, result) };
      } catch (error) {
        return failedPair(toldOf(error), known, subject.scan, now);
      }
    },
  };
}

async function opened(readScan: Measuring['readScan'], { path, subject }: ComparedFile): Promise<{ scan: OpenedScan; subject: Subject }> {
  const { scan, sha256 } = await readScan(path);
  return { scan: openScan(scan, measureOptions(subject.settings)), subject: { ...subject, sha256 } };
}

const ownRecord = (scan: OpenedScan, subject: Subject, now: () => Date): MeasuredRecord =>
  measuredRecord(subject, scan.scan, measureOpened(scan, measureOptions(subject.settings)), now().toISOString());

const scaleOptions = (first: Subject, second: Subject) => {
  const [a, b] = [first.catalogue?.['scanner'], second.catalogue?.['scanner']];
  return {
    scaleU: [first.settings.scaleU ?? 0, second.settings.scaleU ?? 0] as const,
    scanners: a !== undefined && a === b ? ('same' as const) : ('different' as const),
  };
};
