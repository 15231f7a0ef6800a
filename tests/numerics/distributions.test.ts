import { describe, expect, it } from 'vitest';
import { clopperPearson } from '../../src/numerics/clopper-pearson.ts';
import { incompleteBeta, inverseIncompleteBeta, logGamma } from '../../src/numerics/incomplete-beta.ts';
import { erf, erfc, normalProbability, normalQuantile } from '../../src/numerics/normal.ts';
import { coverageFactor, studentProbability, studentQuantile } from '../../src/numerics/student.ts';

describe('normal distribution', () => {
  // CALC: scipy 1.17.1 special.erf, erfc, stats.norm.
  it.each([
    [0, 0],
    [0.5, 0.5204998778130465],
    [1, 0.8427007929497148],
    [1.9999999, 0.9953222629522538],
    [2, 0.9953222650189527],
    [3, 0.9999779095030014],
    [-1, -0.8427007929497148],
  ])('erf(%d)', (x, expected) => {
    expect(erf(x)).toBeCloseTo(expected, 14);
  });

  it('keeps the digits of far tails', () => {
    expect(erfc(5) / 1.5374597944280347e-12).toBeCloseTo(1, 13);
    expect(normalQuantile(1e-10)).toBeCloseTo(-6.361340902404056, 12);
  });

  it('quantiles invert probabilities', () => {
    expect(normalQuantile(0.975)).toBeCloseTo(1.959963984540054, 13);
    for (const p of [0.001, 0.02, 0.3, 0.5, 0.77, 0.9999]) expect(normalProbability(normalQuantile(p))).toBeCloseTo(p, 14);
    expect(normalQuantile(0)).toBe(Number.NEGATIVE_INFINITY);
    expect(() => normalQuantile(1.1)).toThrow(/between 0 and 1/);
  });
});

describe("Student's distribution", () => {
  // READ-2nd: GUM (JCGM 100:2008) table G.2 as quoted in sandialabs/suncal, test_ttable.py; the table has two decimals.
  it.each([
    [0.6827, 1, 1.84],
    [0.95, 1, 12.71],
    [0.9973, 5, 5.51],
    [0.9, 20, 1.72],
    [0.9545, Number.POSITIVE_INFINITY, 2.0],
    [0.95, 20, 2.09],
    [0.99, 11, 3.11],
    [0.9973, 2, 19.21],
  ])('GUM table G.2: %d, %d degrees of freedom', (coverage, dof, expected) => {
    expect(Math.abs(coverageFactor(coverage, dof) - expected)).toBeLessThan(0.0051);
  });

  // CALC: scipy 1.17.1 stats.t.ppf(0.975, dof).
  it.each([
    [1, 12.706204736174694],
    [2, 4.302652729749462],
    [3, 3.1824463052837078],
    [5, 2.5705818356363146],
    [9, 2.262157162798205],
    [16.75, 2.1122169023151316],
    [30, 2.0422724563012378],
    [100, 1.9839715185235518],
  ])('t of 0.975 with %d degrees of freedom', (dof, expected) => {
    expect(studentQuantile(0.975, dof) / expected).toBeCloseTo(1, 12);
    expect(studentQuantile(0.025, dof) / expected).toBeCloseTo(-1, 12);
  });

  it('quantiles invert probabilities, also near the middle', () => {
    for (const p of [0.4999, 0.55, 0.7, 0.999]) expect(studentProbability(studentQuantile(p, 4.5), 4.5)).toBeCloseTo(p, 13);
    expect(studentQuantile(0.5, 3)).toBe(0);
    expect(() => studentQuantile(0.9, 0)).toThrow(/above zero/);
  });
});

describe('incomplete beta function', () => {
  it('is exact where a closed form exists', () => {
    // CALC: I_x(2, 3) = x² (6 − 8x + 3x²).
    for (const x of [0.01, 0.3, 0.5, 0.9]) expect(incompleteBeta(2, 3, x)).toBeCloseTo(x * x * (6 - 8 * x + 3 * x * x), 14);
    expect(inverseIncompleteBeta(2, 3, incompleteBeta(2, 3, 0.37))).toBeCloseTo(0.37, 13);
    expect(logGamma(5)).toBeCloseTo(Math.log(24), 13);
    expect(logGamma(0.5)).toBeCloseTo(Math.log(Math.PI) / 2, 13);
  });

  it('refuses what lies outside', () => {
    expect(() => incompleteBeta(0, 1, 0.5)).toThrow(/above zero/);
    expect(() => incompleteBeta(1, 1, 2)).toThrow(/between 0 and 1/);
    expect(() => logGamma(-1)).toThrow(/above zero/);
  });
});

describe('clopperPearson', () => {
  // CALC: scipy 1.17.1 stats.binomtest(k, n).proportion_ci(method='exact'); for k = 0 also 1 − 0.025^(1/n) in closed form.
  it.each([
    [0, 10, 0, 0.30849710781876294],
    [3, 10, 0.06673951117773447, 0.652452850060008],
    [190, 200, 0.9099724622984412, 0.9757658345278917],
    [200, 200, 0.9817246596448512, 1],
  ])('%i of %i', (successes, trials, low, high) => {
    const found = clopperPearson(successes, trials, 0.95);
    expect(found.low).toBeCloseTo(low, 10);
    expect(found.high).toBeCloseTo(high, 10);
  });

  it('none seen in n trials: the closed form', () => {
    expect(clopperPearson(0, 59, 0.95).high).toBeCloseTo(1 - 0.025 ** (1 / 59), 12);
  });

  it('refuses counts that are none', () => {
    expect(() => clopperPearson(3, 2, 0.95)).toThrow(/whole counts/);
    expect(() => clopperPearson(0.5, 2, 0.95)).toThrow(/whole counts/);
    expect(() => clopperPearson(1, 2, 1)).toThrow(/between 0 and 1/);
  });
});
