import { writeToString } from 'fast-csv';
import type { ScanRecord } from '../records/record.ts';
import { csvColumns } from './csv-columns.ts';

/** `measurements.csv`: one header row, one row a scan. */
export function measurementsCsv(records: readonly ScanRecord[]): Promise<string> {
  const columns = csvColumns(records);
  const rows = records.map((record) => columns.map((column) => column.cell(record)));
  return writeToString([columns.map(({ name }) => name), ...rows], { includeEndRowDelimiter: true });
}
