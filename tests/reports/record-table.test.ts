import { expect, it } from 'vitest';
import { MEASURANDS } from '../../src/measurands/measurands.ts';
import { recordTable } from '../../src/reports/record-table.ts';
import { modelFailure, modelRecord } from '../records/model-record.ts';

it('shows every measure by its trade name with unit, interval and quality, within 100 columns', () => {
  const record = modelRecord();
  const table = recordTable(record);
  for (const { id, title } of MEASURANDS) if (record.measures[id] !== undefined) expect(table).toContain(title);
  expect(table).toMatch(/^ {2}Neck angle +7\.123 ± 0\.016 ° +good$/m);
  expect(table).toMatch(/^ {2}Board radius at the nut +41\.7 ± 1\.8 mm +poor$/m);
  expect(table).toMatch(/^ {2}Heel bow +absent: the heel is not in the scan$/m);
  for (const line of table.split('\n')) expect(line.length, line).toBeLessThanOrEqual(100);
});

it('is plain text, whatever a file is called', () => {
  const table = recordTable(modelRecord({ scan: 'x\u001b[31m\u0007\u202e.stl' }));
  expect(table).not.toMatch(/[\u0000-\u0009\u000b-\u001f\u202e]/);
});

it('says in two lines why a scan failed', () => {
  expect(recordTable(modelFailure())).toBe('scans/h-002.stl\n  failed (truncated): ends early\n');
});
