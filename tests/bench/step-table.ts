import { compareScans } from '../../src/change/compare-scans.ts';
import { placeBodies } from '../../src/change/place-bodies.ts';
import { readScan } from '../../src/formats/read-scan.ts';
import { measureScan } from '../../src/measures/measure-scan.ts';
import { type OpenedScan, openScan } from '../../src/measures/open-scan.ts';
import { median } from '../../src/numerics/statistics.ts';
import type { ReportTable } from '../study/report-table.ts';
import { processorMilliseconds } from './processor-milliseconds.ts';

/** Reading, measuring and comparing apart, the first time in a process and later. */
export async function stepTable(path: string, repeatPath: string, megabytes: number, turns: number): Promise<ReportTable> {
  const reading: number[] = [];
  const measuring: number[] = [];
  const registering: number[] = [];
  const comparing: number[] = [];
  const [first, repeat] = await Promise.all([path, repeatPath].map(async (p) => openScan((await readScan(p)).scan, {})));
  for (let turn = 0; turn <= turns; turn++) {
    const start = processorMilliseconds();
    const { scan } = await readScan(path);
    const read = processorMilliseconds();
    measureScan(scan, {});
    reading.push(read - start);
    const measured = processorMilliseconds();
    placeBodies(first as OpenedScan, repeat as OpenedScan);
    const registered = processorMilliseconds();
    compareScans(first as OpenedScan, repeat as OpenedScan);
    measuring.push(measured - read);
    registering.push(registered - measured);
    comparing.push(processorMilliseconds() - registered);
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
    rows: [
      row('reading binary STL, with its hash', reading),
      row('measuring', measuring),
      row('registering the bodies of two scans', registering),
      row('comparing two opened scans, registration included', comparing),
    ],
  };
}
