import { expect, it } from 'vitest';
import { parseComparison } from '../../src/records/comparison-schema.ts';
import { modelComparison, modelFailedComparison } from './model-comparison.ts';

it.each([
  ['measured', modelComparison({ projection: -0.4 })],
  ['failed', modelFailedComparison()],
])('a %s one comes back from its own JSON, nothing lost', (_, record) => {
  const stored = JSON.parse(JSON.stringify(record)) as unknown;
  expect(parseComparison(stored)).toEqual(stored);
});

const record = modelComparison({ projection: -0.4 });
it.each([
  ['no baseline', { ...record, baseline: undefined }],
  ['an unknown change', { ...record, measures: { ...record.measures, neckPich: record.measures.neckPitch } }],
  [
    'a shift of two components',
    { ...record, measures: { ...record.measures, neckShift: { ...record.measures.neckShift, value: [0, 0] } } },
  ],
  ['a difference of an unknown measurand', { ...record, differences: { neckPitch: record.differences.projection } }],
  ['a negative uncertainty', { ...record, differences: { projection: { ...record.differences.projection, u: -1 } } }],
])('is refused with %s', (_, value) => {
  expect(parseComparison(value)).toBeUndefined();
});
