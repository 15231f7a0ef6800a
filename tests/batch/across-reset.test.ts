import { describe, expect, it } from 'vitest';
import { acrossReset, liesAcross, RECUT, resetBetween } from '../../src/batch/across-reset.ts';
import type { MeasuredComparison } from '../../src/records/comparison-record.ts';
import type { Subject } from '../../src/records/subject.ts';
import { modelComparison, modelFailedComparison } from '../records/model-comparison.ts';

const subject = (date: string, event?: string): Subject => ({
  scan: `${date}.ply`,
  date,
  settings: {},
  ...(event === undefined ? {} : { catalogue: { event } }),
});

/** A pair whose heel bent by `bend` degrees, standard uncertainty 0.1. */
function bent(bend: number): MeasuredComparison {
  const record = modelComparison({ projection: -0.3 });
  const pitch = record.measures.neckPitch;
  if (pitch === undefined) throw new Error('the model pair has no pitch');
  return {
    ...record,
    measures: { ...record.measures, heelRootRotation: { ...pitch, value: 0.1, u: 0.1 }, heelBend: { ...pitch, value: bend, u: 0.1 } },
    rootBendCorrelation: -0.9,
    absent: [],
  };
}

describe('a reset between two dates', () => {
  const [first, second, third] = [subject('2023-05-01'), subject('2024-05-01', 'Neck reset, new strings'), subject('2025-05-01')];

  it('is the event of the later scan, or of one between', () => {
    expect(resetBetween(first, second, [second, third])).toBe(true);
    expect(resetBetween(first, third, [second, third])).toBe(true);
  });

  it('is none where it was done before both, or where another thing was done', () => {
    expect(resetBetween(second, third, [second, third])).toBe(false);
    expect(resetBetween(first, subject('2024-05-01', 'new board'), [subject('2024-05-01', 'new board')])).toBe(false);
  });
});

describe('a pair across a reset', () => {
  it('has neither root nor bend where the heel has another shape, and says why', () => {
    const record = acrossReset(bent(0.5));
    expect('failed' in record ? {} : record.measures).not.toHaveProperty('heelBend');
    expect('failed' in record ? {} : record.measures).not.toHaveProperty('heelRootRotation');
    expect(record).not.toHaveProperty('rootBendCorrelation');
    expect('failed' in record ? [] : record.absent).toEqual([
      { measure: 'heelRootRotation', reason: RECUT },
      { measure: 'heelBend', reason: RECUT },
    ]);
    expect(liesAcross(record)).toBe(true);
  });

  it('keeps both where the heel kept its shape', () => {
    const record = bent(0.15);
    expect(acrossReset(record)).toBe(record);
    expect(liesAcross(record)).toBe(false);
  });

  it('leaves a pair that failed', () => {
    const failed = modelFailedComparison();
    expect(acrossReset(failed)).toBe(failed);
  });
});
