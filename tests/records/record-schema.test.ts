import { describe, expect, it } from 'vitest';
import { MEASURANDS } from '../../src/measurands/measurands.ts';
import { InputError } from '../../src/geometry/input-error.ts';
import { FAULT_CODE, failureOf } from '../../src/records/failed-record.ts';
import { parseRecord } from '../../src/records/record-schema.ts';
import { modelFailure, modelRecord } from './model-record.ts';

describe('the record', () => {
  it.each([
    ['measured', modelRecord({ catalogue: { label: 'Wren', odd: '1' }, settings: { class: 'violin', statedBy: 'catalogue' } })],
    ['failed', modelFailure()],
  ])('a %s one comes back from its own JSON byte for byte', (_, record) => {
    const json = JSON.stringify(record);
    const parsed = parseRecord(JSON.parse(json));
    expect(JSON.stringify(parsed)).toBe(json);
  });

  it('keeps every number in full', () => {
    const record = modelRecord({}, 1 / 3);
    const parsed = JSON.parse(JSON.stringify(record)) as typeof record;
    expect(parsed.measures.neckAngle?.value).toBe(7.1234 + 1 / 3);
  });

  it('lists measures in the order of tables', () => {
    const order = MEASURANDS.map(({ id }) => id as string);
    const ids = Object.keys(modelRecord().measures);
    expect(ids).toEqual([...ids].sort((a, b) => order.indexOf(a) - order.indexOf(b)));
  });

  it.each([
    ['an unknown measure', { ...modelRecord(), measures: { neckAngel: modelRecord().measures.neckAngle } }],
    ['a negative uncertainty', { ...modelRecord(), measures: { neckAngle: { ...modelRecord().measures.neckAngle, u: -1 } } }],
    ['a frame of 12 numbers', { ...modelRecord(), frame: [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0] }],
    ['a failure code with a capital', { ...modelFailure(), failed: { code: 'Truncated', message: '' } }],
    ['nothing', undefined],
  ])('is refused with %s', (_, value) => {
    expect(parseRecord(value)).toBeUndefined();
  });
});

describe('what a record says of an error', () => {
  it('keeps the code of what cannot be read', () => {
    expect(failureOf(new InputError('not-finite', 'holds NaN'))).toEqual({ code: 'not-finite', message: 'holds NaN' });
  });

  it('calls memory that ran out too large', () => {
    let error: unknown;
    try {
      new ArrayBuffer(2 ** 53 - 1);
    } catch (e) {
      error = e;
    }
    expect(failureOf(error).code).toBe('too-large');
  });

  it('calls anything else a fault of the program', () => {
    expect(failureOf(new TypeError('x is undefined')).code).toBe(FAULT_CODE);
    expect(failureOf(new RangeError('a zero vector has no direction')).code).toBe(FAULT_CODE);
  });
});
