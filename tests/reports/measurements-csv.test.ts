import { parseString } from 'fast-csv';
import { expect, it } from 'vitest';
import { MEASURANDS } from '../../src/measurands/measurands.ts';
import { csvMetadata } from '../../src/reports/csv-metadata.ts';
import { measurementsCsv } from '../../src/reports/measurements-csv.ts';
import { modelFailure, modelRecord } from '../records/model-record.ts';

const parsed = (csv: string): Promise<Record<string, string>[]> =>
  new Promise((resolve, reject) => {
    const rows: Record<string, string>[] = [];
    parseString<Record<string, string>, Record<string, string>>(csv, { headers: true })
      .on('error', reject)
      .on('data', (row) => rows.push(row))
      .on('end', () => resolve(rows));
  });

it('has four columns for every measurand, and one row a scan', async () => {
  const rows = await parsed(await measurementsCsv([modelRecord(), modelFailure()]));
  expect(rows).toHaveLength(2);
  for (const { id } of MEASURANDS)
    for (const suffix of ['', '_u', '_U95', '_quality']) expect(rows[0], id).toHaveProperty(`${id}${suffix}`);
  expect(rows[0]).toMatchObject({ instrument: 'h-001', neckAngle: '7.1234', neckAngle_quality: 'good', heelBow: '', heelBow_quality: '' });
  expect(rows[0]?.['absent']).toContain('heelBow: the heel is not in the scan');
  expect(rows[1]).toMatchObject({ instrument: 'h-002', neckAngle: '', failed: 'truncated: ends early' });
});

it('keeps numbers within a hundredth of their u, and as numbers', async () => {
  const record = modelRecord({}, -1 / 3);
  const [row] = await parsed(await measurementsCsv([record]));
  for (const [id, quantity] of Object.entries(record.measures)) {
    expect(Math.abs(Number(row?.[id]) - quantity.value), id).toBeLessThanOrEqual(0.01 * quantity.u);
  }
  expect(row?.['boardOffset']).toMatch(/^-0\.75/);
});

it.each(['=1+1', '+1', '-1', '@SUM(A1)', '\t=1', '=cmd|x'])(
  'takes the sting out of text that a spreadsheet would take for a formula: %j',
  async (text) => {
    const [row] = await parsed(await measurementsCsv([modelRecord({ instrument: text, catalogue: { note: text } })]));
    expect(row?.['instrument']).toBe(`'${text}`);
    expect(row?.['note']).toBe(`'${text}`);
  },
);

it('passes through what the catalogue has besides, also a column named like one of its own', async () => {
  const [row] = await parsed(
    await measurementsCsv([modelRecord({ catalogue: { 'shelf mark': '007', projection: 'about 27', label: 'one, "two"\nthree' } })]),
  );
  expect(row).toMatchObject({ 'shelf mark': '007', catalogue_projection: 'about 27', label: 'one, "two"\nthree' });
});

it('is described column by column by its metadata', async () => {
  const records = [modelRecord({ catalogue: { odd: '1' } })];
  const header = (await measurementsCsv(records)).split('\n')[0]?.split(',');
  const metadata = csvMetadata(records) as { tableSchema: { columns: { name: string; titles: string }[] } };
  expect(metadata.tableSchema.columns.map(({ name }) => name)).toEqual(header);
  for (const { titles } of metadata.tableSchema.columns) expect(titles).not.toBe('');
});
