import type { ScanRecord } from '../records/record.ts';
import { csvColumns } from './csv-columns.ts';

/** `measurements.csv-metadata.json`: titles and units of the columns, as CSV on the Web has them. */
export const csvMetadata = (records: readonly ScanRecord[]): object => ({
  '@context': 'http://www.w3.org/ns/csvw',
  url: 'measurements.csv',
  'dc:title': 'Measurements of the set of the neck, one row a scan',
  tableSchema: {
    columns: csvColumns(records).map(({ name, title, datatype, unit, description }) => ({
      name,
      titles: title,
      datatype,
      ...(unit === undefined ? {} : { 'schema:unitCode': unit }),
      ...(description === undefined ? {} : { 'dc:description': description }),
    })),
  },
});
