import { readScan } from '../../src/formats/read-scan.ts';
import { measureScan } from '../../src/measures/measure-scan.ts';
import { median } from '../../src/numerics/statistics.ts';
import type { ReportTable } from '../study/report-table.ts';
import { processorMilliseconds } from './processor-milliseconds.ts';

/** Reading and measuring apart, the first time in a process and later. */
export async function stepTable(path: string, megabytes: number, turns: number): Promise<ReportTable> {
  const reading: number[] = [];
  const measuring: number[] = [];
  for (let turn = 0; turn <= turns; turn++) {
    const start = processorMilliseconds();
    const { scan } = await readScan(path);
    const read = processorMilliseconds();
    measureScan(scan, {});
    reading.push(read - start);
    measuring.push(processorMilliseconds() - read);
  }
  const row = (name: string, times: readonly number[]): string[] => [
    name,
    (times[0] as number).toFixed(0),
    median(times.slice(1)).toFixed(0),
  ];
  return {
    title: 'Steps, a million triangles',
    note: `ms on the processor in one process: the first time, and the median of ${turns} more. The file has ${megabytes.toFixed(0)} MB.`,
    columns: ['step', 'first', 'later'],
    rows: [row('reading binary STL, with its hash', reading), row('measuring', measuring)],
  };
}
