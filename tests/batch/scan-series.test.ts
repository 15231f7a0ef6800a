import { describe, expect, it } from 'vitest';
import { problemLine } from '../../src/batch/problem.ts';
import { readPipeline } from '../../src/batch/read-pipeline.ts';
import { emptyFolder, put } from '../cli/scan-files.ts';

const HEADER = 'instrument,scan,date,event,baseline';

async function read(kind: string, rows: readonly string[], more: object = {}) {
  const dir = await emptyFolder();
  for (const scan of ['a', 'b', 'c', 'd']) await put(dir, `${scan}.xyz`, '0 0 0\n');
  await put(dir, 'catalogue.csv', `${[HEADER, ...rows].join('\n')}\n`);
  const pipeline = { kind, title: 'T', catalogue: 'catalogue.csv', ...more };
  const { loaded, problems } = await readPipeline(await put(dir, `p-${kind}.json`, JSON.stringify(pipeline)));
  return {
    series: (loaded?.series ?? []).map(({ instrument, entries }) => [instrument, ...entries.map(({ row }) => row.scan[0])]),
    single: loaded?.single,
    lines: problems.map((problem) => problemLine(problem).replaceAll(`${dir}/`, '')),
  };
}

const FOUR = ['h,c.xyz,2024-01-01,,', 'h,a.xyz,2022,,', 'h,d.xyz,2025-06,,', 'h,b.xyz,2023-05-01,,'];

describe('tracking', () => {
  it('takes all dates of each instrument in their order, and names those with one scan', async () => {
    const { series, single, lines } = await read('tracking', [...FOUR.slice(0, 3), 'k,b.xyz,2023-05-01,,']);
    expect(lines).toEqual([]);
    expect(series).toEqual([['h', 'a', 'c', 'd']]);
    expect(single).toEqual(['k']);
  });

  it('compares against the stated baseline', async () => {
    const { series } = await read('tracking', [...FOUR.slice(0, 3), 'h,b.xyz,2023-05-01,,yes']);
    expect(series).toEqual([['h', 'b', 'a', 'c', 'd']]);
  });
});

describe('before and after', () => {
  it('takes two dates as they are', async () => {
    expect((await read('before-after', FOUR.slice(0, 2))).series).toEqual([['h', 'a', 'c']]);
  });

  it('takes of more those on both sides of the event', async () => {
    expect((await read('before-after', [...FOUR.slice(1), 'h,c.xyz,2024-01-01,neck reset,'])).series).toEqual([['h', 'b', 'c']]);
  });
});

describe('refused', () => {
  it.each([
    [
      'no instrument with two dates',
      'tracking',
      ['h,a.xyz,2024,,', 'k,b.xyz,2025,,'],
      {},
      'p-tracking.json, key "catalogue": leaves no instrument with scans of two dates',
    ],
    [
      'a selection without',
      'before-after',
      FOUR,
      { select: { date: '2022' } },
      'p-before-after.json, key "select": leaves no instrument with scans of two dates',
    ],
    [
      'no event among many dates',
      'before-after',
      FOUR,
      {},
      'catalogue.csv, rows 3, 5, 2, 4: h has 4 scans and no event between them; say in the column "event"',
    ],
    [
      'an event before the first date only',
      'before-after',
      [...FOUR.slice(2), 'h,a.xyz,2022,new board,'],
      {},
      'h has 3 scans and no event between them',
    ],
    [
      'two events',
      'before-after',
      [...FOUR.slice(1, 3), 'h,b.xyz,2023,new board,', 'h,c.xyz,2024,neck reset,'],
      {},
      'h has 2 events; select the two dates',
    ],
    ['groupBy', 'tracking', FOUR, { groupBy: 'date' }, 'p-tracking.json, key "groupBy": belongs to a survey'],
    [
      'a missing date',
      'tracking',
      ['h,a.xyz,2024,,', 'h,b.xyz,,,'],
      {},
      'catalogue.csv, row 3, column "date": is empty; h has several scans',
    ],
  ])('%s', async (_, kind, rows, more, expected) => {
    const { lines } = await read(kind, rows, more);
    expect(lines).toHaveLength(1);
    expect(lines[0]).toContain(expected);
  });
});
