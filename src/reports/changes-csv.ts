import { writeToString } from 'fast-csv';
import type { ComparisonRecord } from '../records/comparison-record.ts';
import { changesColumns } from './changes-columns.ts';

/** `changes.csv`: one header row, one row a later scan. */
export function changesCsv(records: readonly ComparisonRecord[]): Promise<string> {
  const columns = changesColumns(records);
  const rows = records.map((record) => columns.map((column) => column.cell(record)));
  return writeToString([columns.map(({ name }) => name), ...rows], { includeEndRowDelimiter: true });
}
