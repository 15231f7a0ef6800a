import type { ComparisonRecord } from '../records/comparison-record.ts';
import type { ScanRecord } from '../records/record.ts';
import { changesColumns } from './changes-columns.ts';
import { type CsvColumn, csvColumns } from './csv-columns.ts';

/** `measurements.csv-metadata.json`: titles and units of the columns, as CSV on the Web has them. */
export const csvMetadata = (records: readonly ScanRecord[]): object =>
  tableMetadata('measurements.csv', 'Measurements of the set of the neck, one row a scan', csvColumns(records));

/** `changes.csv-metadata.json`, in the same way. */
export const changesMetadata = (records: readonly ComparisonRecord[]): object =>
  tableMetadata('changes.csv', 'What changed since the baseline, one row a later scan', changesColumns(records));

type Described = Omit<CsvColumn, 'cell'>;

const tableMetadata = (url: string, title: string, columns: readonly Described[]): object => ({
  '@context': 'http://www.w3.org/ns/csvw',
  url,
  'dc:title': title,
  tableSchema: {
    columns: columns.map(({ name, title: titles, datatype, unit, description }) => ({
      name,
      titles,
      datatype,
      ...(unit === undefined ? {} : { 'schema:unitCode': unit }),
      ...(description === undefined ? {} : { 'dc:description': description }),
    })),
  },
});
