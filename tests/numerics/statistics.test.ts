import { describe, expect, it } from 'vitest';
import {
  mad,
  mean,
  meanAndSd,
  median,
  quantile,
  rms,
  sd,
  weightedMad,
  weightedMedian,
  weightedQuantile,
  weightedSd,
} from '../../src/numerics/statistics.ts';

describe('meanAndSd far from zero (NIST StRD NumAcc 1–4, READ)', () => {
  const alternating = (middle: number, step: number): number[] => [
    middle,
    ...Array.from({ length: 1000 }, (_, i) => (i % 2 === 0 ? middle - step : middle + step)),
  ];
  it.each([
    ['NumAcc1', [10000001, 10000003, 10000002], 10000002, 1, 1e-15],
    ['NumAcc2', alternating(1.2, 0.1), 1.2, 0.1, 1e-14],
    // From here on the data themselves are rounded to about 1e-10 and 2e-9 in Float64.
    ['NumAcc3', alternating(1000000.2, 0.1), 1000000.2, 0.1, 1e-9],
    ['NumAcc4', alternating(10000000.2, 0.1), 10000000.2, 0.1, 1e-8],
  ] as const)('%s', (_, values, certifiedMean, certifiedSd, tolerance) => {
    const found = meanAndSd(values);
    expect(Math.abs(found.mean / certifiedMean - 1)).toBeLessThan(1e-15);
    expect(Math.abs(found.sd / certifiedSd - 1)).toBeLessThan(tolerance);
  });
});

describe('order statistics', () => {
  it('median and quantiles interpolate between neighbours (type 7)', () => {
    expect(median([5, 1, 3])).toBe(3);
    expect(median([4, 1, 3, 2])).toBe(2.5);
    expect(quantile([1, 2, 3, 4], 0.25)).toBe(1.75);
    expect(quantile([1, 2, 3, 4], 0)).toBe(1);
    expect(quantile([1, 2, 3, 4], 1)).toBe(4);
  });

  it('mad is the standard deviation of normal data', () => {
    // CALC: median 3, deviations 2 1 0 1 97 → median 1, × 1.4826.
    expect(mad([1, 2, 3, 4, 100])).toBeCloseTo(1.4826022185056018, 14);
  });

  it('weights: equal ones change nothing, a heavy one pulls', () => {
    const values = [5, 1, 3, 9];
    expect(weightedMedian(values, [2, 2, 2, 2])).toBe(median(values));
    expect(weightedMedian(values, [1, 1, 1, 100])).toBeCloseTo(9, 0);
    expect(weightedQuantile([1, 2], [1, 0], 0.9)).toBe(1);
    expect(weightedMad([1, 2, 3, 4, 100], [1, 1, 1, 1, 1])).toBeCloseTo(mad([1, 2, 3, 4, 100]), 14);
    expect(mean([1, 4], [1, 2])).toBe(3);
    expect(weightedSd([1, 4], [1, 2])).toBeCloseTo(Math.SQRT2, 14);
  });
});

describe('statistics', () => {
  it('root mean square and sample standard deviation', () => {
    expect(rms([3, -4])).toBeCloseTo(Math.sqrt(12.5), 15);
    expect(sd([1, 2, 3, 4])).toBeCloseTo(Math.sqrt(5 / 3), 15);
  });

  it('refuses what has no answer', () => {
    expect(() => mean([])).toThrow(/at least one/);
    expect(() => rms([])).toThrow(/at least one/);
    expect(() => meanAndSd([1])).toThrow(/at least two/);
    expect(() => median([])).toThrow(/at least one/);
    expect(() => median([1, Number.NaN])).toThrow(/not a number/);
    expect(() => quantile([1], 1.5)).toThrow(/between 0 and 1/);
    expect(() => mean([1, 2], [1])).toThrow(/as many weights/);
    expect(() => mean([1, 2], [0, 0])).toThrow(/above zero/);
    expect(() => mean([1, 2], [1, -1])).toThrow(/zero or more/);
  });
});
