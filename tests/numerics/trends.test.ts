import { describe, expect, it } from 'vitest';
import { benjaminiHochberg } from '../../src/numerics/benjamini-hochberg.ts';
import { fieller } from '../../src/numerics/fieller.ts';
import { generalisedLeastSquares } from '../../src/numerics/generalised-least-squares.ts';
import { holm } from '../../src/numerics/holm.ts';
import { mannKendall } from '../../src/numerics/mann-kendall.ts';
import { theilSen } from '../../src/numerics/theil-sen.ts';

describe('Mann–Kendall', () => {
  it('gives the example of EPA QA/G-9S, page 109', () => {
    const { s, variance, z } = mannKendall([10, 10, 10, 5, 10, 20, 18, 17, 15, 24, 15]);
    expect(s).toBe(22);
    expect(variance).toBeCloseTo(155.333333, 5);
    expect(z).toBeCloseTo(1.68495, 5);
  });

  it('counts exactly for few values: five rising are one of 120 orders at either end, four cannot reach 5 %', () => {
    expect(mannKendall([1, 2, 3, 4, 5]).p).toBeCloseTo(2 / 120, 12);
    expect(mannKendall([1, 2, 3, 4]).p).toBeCloseTo(2 / 24, 12);
    // Kendall's table: n = 5, S = 8 has one-sided probability 0.042.
    expect(mannKendall([1, 2, 3, 5, 4]).p / 2).toBeCloseTo(0.042, 3);
  });
});

describe('Theil–Sen', () => {
  it('gives the example of Sen 1968: slope 4, interval 3.71 to 4.38 at 93 %', () => {
    const fit = theilSen([1, 2, 3, 4, 10, 12, 18], [9, 15, 19, 20, 45, 55, 78], 0.07);
    expect(fit.slope).toBeCloseTo(4, 12);
    expect(fit.intercept).toBeCloseTo(4, 12);
    expect(fit.low).toBeCloseTo(3.71, 2);
    expect(fit.high).toBeCloseTo(4.38, 2);
  });

  it('is not moved by one wrong value', () => {
    expect(theilSen([1, 2, 3, 4, 5, 6, 7], [1, 2, 3, 4, 5, 16, 7]).slope).toBeCloseTo(1, 12);
  });
});

/** Calibration of a thermometer: JCGM 100:2008, H.3 (temperatures less 20 °C, corrections). */
const T = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.01, 26.511].map((t) => t - 20);
const B = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.16];

describe('generalised least squares', () => {
  const design = T.flatMap((t) => [1, t]);
  const n = T.length;
  const diagonal = (v: number) => Float64Array.from({ length: n * n }, (_, i) => (i % (n + 1) === 0 ? v : 0));

  it('gives the line of GUM H.3 with its standard uncertainties, and its value at 30 °C', () => {
    const s = 0.00349756;
    const { coefficients: c, covariance: v, chiSquared, dof } = generalisedLeastSquares(design, 2, B, diagonal(s * s));
    expect(c[0]).toBeCloseTo(-0.17120379, 7);
    expect(c[1]).toBeCloseTo(0.0021827, 7);
    expect(Math.sqrt(v[0])).toBeCloseTo(0.0028776, 6);
    expect(Math.sqrt(v[3])).toBeCloseTo(0.00066794, 7);
    expect(v[1] / Math.sqrt(v[0] * v[3])).toBeCloseTo(-0.93043, 5);
    expect(chiSquared).toBeCloseTo(dof, 3);
    expect(c[0] + 10 * c[1]).toBeCloseTo(-0.14937681, 7);
    expect(Math.sqrt(v[0] + 20 * v[1] + 100 * v[3])).toBeCloseTo(0.0041386, 6);
  });

  it('leaves a slope alone when all values share an error, and gives it to the intercept', () => {
    const shared = diagonal(1).map((v) => v + 4);
    const [alone, common] = [diagonal(1), shared].map((c) => generalisedLeastSquares(design, 2, B, c));
    expect(common.coefficients[1]).toBeCloseTo(alone.coefficients[1], 9);
    expect(common.covariance[3]).toBeCloseTo(alone.covariance[3], 9);
    expect(common.covariance[0] - alone.covariance[0]).toBeCloseTo(4, 9);
  });
});

describe('Fieller', () => {
  it('is symmetrical and first order where the denominator is sure', () => {
    const found = fieller(10, 2, 0.01, 0, 0, 1.96);
    expect(found).toMatchObject({ kind: 'bounded' });
    if (found.kind === 'bounded') {
      expect(found.low).toBeCloseTo(5 - 0.098, 6);
      expect(found.high).toBeCloseTo(5 + 0.098, 6);
    }
  });

  it('has ends at which a − r b lies just k standard deviations off', () => {
    const [a, b, va, vb, cov, k] = [3, 1.5, 0.04, 0.05, 0.01, 2];
    const found = fieller(a, b, va, vb, cov, k);
    if (found.kind !== 'bounded') throw new Error('not bounded');
    for (const r of [found.low, found.high]) expect((a - r * b) ** 2 / (va - 2 * r * cov + r * r * vb)).toBeCloseTo(k * k, 9);
    expect(found.low).toBeLessThan(a / b);
    expect(found.high).toBeGreaterThan(a / b);
  });

  it('is unbounded where the denominator is not told from zero', () => {
    expect(fieller(1, 0.1, 0.01, 0.01, 0, 1.96)).toEqual({ kind: 'unbounded' });
  });
});

describe('many tests at once', () => {
  /** P-values of the example in Benjamini & Hochberg 1995, section 3.2: four rejections at 5 %, where Holm has three. */
  const p = [0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.324, 0.4262, 0.5719, 0.6528, 0.759, 1];

  it('Benjamini–Hochberg rejects the four smallest, Holm three', () => {
    const shuffled = [...p].reverse();
    expect(benjaminiHochberg(p, 0.05).filter(Boolean)).toHaveLength(4);
    expect(holm(p, 0.05).filter(Boolean)).toHaveLength(3);
    expect(benjaminiHochberg(shuffled, 0.05).slice(-4)).toEqual([true, true, true, true]);
    expect(holm([], 0.05)).toEqual([]);
  });
});
