import { parseString } from 'fast-csv';
import { expect, it } from 'vitest';
import { CHANGES } from '../../src/measurands/changes.ts';
import { MEASURANDS } from '../../src/measurands/measurands.ts';
import { changesCsv } from '../../src/reports/changes-csv.ts';
import { changesMetadata } from '../../src/reports/csv-metadata.ts';
import { modelComparison, modelFailedComparison } from '../records/model-comparison.ts';

const parsed = (csv: string): Promise<Record<string, string>[]> =>
  new Promise((resolve, reject) => {
    const rows: Record<string, string>[] = [];
    parseString<Record<string, string>, Record<string, string>>(csv, { headers: true })
      .on('error', reject)
      .on('data', (row) => rows.push(row))
      .on('end', () => resolve(rows));
  });

it('has a row for each later scan, with every change and difference, its interval and its verdict', async () => {
  const rows = await parsed(await changesCsv([modelComparison({ projection: -0.4 }), modelFailedComparison()]));
  expect(rows).toHaveLength(2);
  const ids = [
    ...CHANGES.map(({ id }) => id).filter((id) => id !== 'neckShift'),
    ...MEASURANDS.map(({ id }) => id).filter((id) => id !== 'stop' && id !== 'stopRatio'),
    ...['neckShift_x', 'neckShift_y', 'neckShift_z'],
  ];
  for (const id of ids) for (const suffix of ['', '_u', '_U95']) expect(rows[0], id).toHaveProperty(`${id}${suffix}`);
  expect(rows[0]).toMatchObject({
    instrument: 'h-001',
    baseline: 'scans/h-001.stl',
    projection: '-0.4',
    projection_u: '0.05',
    projection_U95: '0.098',
    projection_quality: 'good',
    projection_significant: 'yes',
    projection_significantAlone: 'yes',
    projection_decision: '0.098',
    boardWidthEnd_significant: '',
    boardWidthEnd_significantAlone: 'no',
    neckShift_x: '0.01',
    neckShift_z_u: '0.02',
    neckShift_quality: 'good',
    heelBend: '',
  });
  expect(Number(rows[0]?.['projection_smallest'])).toBeGreaterThan(0.18);
  expect(rows[0]?.['absent']).toContain('heelBend: the heel is not seen in the baseline');
  expect(rows[0]).not.toHaveProperty('stop');
  expect(rows[0]).not.toHaveProperty('bodyResidual_significant');
  expect(rows[1]).toMatchObject({ instrument: 'h-002', projection: '', failed: 'truncated: ends early' });
});

it.each(['=1+1', '+1', '-1', '@SUM(A1)', '\t=1'])(
  'takes the sting out of text that a spreadsheet would take for a formula: %j',
  async (sting) => {
    const [row] = await parsed(
      await changesCsv([modelComparison({ projection: 0 }, { instrument: sting, catalogue: { note: sting } }, sting)]),
    );
    expect(row).toMatchObject({ instrument: `'${sting}`, note: `'${sting}`, baseline: `'${sting}` });
  },
);

it('is described column by column by its metadata', async () => {
  const records = [modelComparison({ projection: -0.4 }, { catalogue: { odd: '1', projection: 'low' } })];
  const header = (await changesCsv(records)).split('\n')[0]?.split(',');
  const { url, tableSchema } = changesMetadata(records) as { url: string; tableSchema: { columns: { name: string; titles: string }[] } };
  expect(url).toBe('changes.csv');
  expect(tableSchema.columns.map(({ name }) => name)).toEqual(header);
  expect(new Set(header).size).toBe(header?.length);
  for (const { titles } of tableSchema.columns) expect(titles).not.toBe('');
});
