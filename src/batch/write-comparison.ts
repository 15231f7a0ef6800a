import { join } from 'node:path';
import type { ComparisonRecord, MeasuredComparison } from '../records/comparison-record.ts';
import type { MeasuredRecord, ScanRecord } from '../records/record.ts';
import { MEASURANDS } from '../measurands/measurands.ts';
import { writeWhole } from '../records/write-whole.ts';
import { changesCsv } from '../reports/changes-csv.ts';
import type { ComparisonData } from '../reports/comparison-data.ts';
import { changesMetadata, csvMetadata } from '../reports/csv-metadata.ts';
import { measurementsCsv } from '../reports/measurements-csv.ts';

/** Writes the report folder of compared scans; each file is whole or not there, and the page comes last. */
export async function writeComparison(out: string, data: ComparisonData, page: string): Promise<void> {
  const json = (value: unknown): string => `${JSON.stringify(value, undefined, 2)}\n`;
  const comparisons = data.series.flatMap((series) => series.comparisons);
  const records = data.series.flatMap(({ baseline, comparisons: later, unusable }) => [
    ...unusable,
    ...(baseline === undefined ? [] : [baseline]),
    ...later,
  ]);
  const own = records.map(ownRecord);
  await writeWhole(join(out, 'changes.csv'), await changesCsv(comparisons));
  await writeWhole(join(out, 'changes.csv-metadata.json'), json(changesMetadata(comparisons)));
  await writeWhole(join(out, 'measurements.csv'), await measurementsCsv(own));
  await writeWhole(join(out, 'measurements.csv-metadata.json'), json(csvMetadata(own)));
  await writeWhole(join(out, 'measurements.json'), `[\n${records.map((record) => JSON.stringify(record)).join(',\n')}\n]\n`);
  await writeWhole(join(out, 'run.json'), json(data.run));
  await writeWhole(join(out, 'index.html'), page);
}

/** What the later scan of a pair shows by itself. */
function ownRecord(record: ScanRecord | ComparisonRecord): ScanRecord {
  if ('failed' in record || !('differences' in record)) return record;
  const { measures, absent } = record as MeasuredComparison;
  return {
    ...record,
    measures: Object.fromEntries(MEASURANDS.flatMap(({ id }) => (measures[id] === undefined ? [] : [[id, measures[id]]]))),
    absent: absent.filter(({ measure }) => MEASURANDS.some(({ id }) => id === measure)) as MeasuredRecord['absent'],
  };
}
