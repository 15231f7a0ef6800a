import { describe, expect, it } from 'vitest';
import { levenbergMarquardt } from '../../src/numerics/levenberg-marquardt.ts';
import { readStrd, STRD_MODELS } from './strd.ts';

// NIST Statistical Reference Datasets, nonlinear regression, all 27 problems from both starts (READ; see tests/data/reference/README.md).

/** Starts from which no minimum is proven: there the search runs into a stretch where a parameter has no influence. Refused, not wrong. */
const REFUSED = new Set(['BoxBOD start 1', 'MGH10 start 1']);
/** Digits of agreement that count as right; the certified values have eleven. */
const VALUE_DIGITS = 8;
const SD_DIGITS = 7.5;
/** Lanczos1 has no noise: its residuals are the rounding of data and exponentials, which standard errors and sum of squares inherit. */
const NOISE_FREE_SD_DIGITS = 2;

const digits = (found: number, certified: number): number => Math.min(11, -Math.log10(Math.abs(found - certified) / Math.abs(certified)));

describe.each(Object.entries(STRD_MODELS))('NIST StRD %s', (name, model) => {
  const problem = readStrd(name);
  const data = name === 'Nelson' ? problem.y.map(Math.log) : problem.y;
  it.each([1, 2] as const)('from start %i agrees in values and standard errors, or is refused', (number) => {
    const fit = (): ReturnType<typeof levenbergMarquardt> =>
      levenbergMarquardt({
        data,
        start: problem.starts[number - 1],
        model(b, target) {
          for (let i = 0; i < target.length; i++) target[i] = model(b, problem.x[0][i], problem.x[1]?.[i] ?? 0);
        },
      });
    if (REFUSED.has(`${name} start ${number}`)) {
      expect(fit).toThrow(RangeError);
      return;
    }
    const found = fit();
    const n = problem.certified.length;
    for (let j = 0; j < n; j++) {
      expect(digits(found.parameters[j], problem.certified[j]), `b${j + 1}`).toBeGreaterThan(VALUE_DIGITS);
      const sdDigits = digits(Math.sqrt(found.covariance[j * n + j]), problem.certifiedSd[j]);
      expect(sdDigits, `standard error of b${j + 1}`).toBeGreaterThan(name === 'Lanczos1' ? NOISE_FREE_SD_DIGITS : SD_DIGITS);
    }
    expect(digits(found.rss, problem.certifiedRss)).toBeGreaterThan(name === 'Lanczos1' ? NOISE_FREE_SD_DIGITS : 9);
    expect(found.reason).toBe(name === 'Lanczos1' ? 'rounding' : 'orthogonal');
  });
});

describe('levenbergMarquardt', () => {
  const x = [0, 1, 2, 3, 4, 5];
  const model = (b: Float64Array, target: Float64Array): void => {
    for (let i = 0; i < target.length; i++) target[i] = b[0] + b[1] * x[i];
  };

  it('whitens: a straight line with known uncertainties has the covariance of linear least squares', () => {
    const sigma = [1, 2, 1, 2, 1, 2];
    const found = levenbergMarquardt({ data: [1, 3.5, 4.8, 7.4, 9.1, 10.7], sigma, start: [0, 1], model });
    // CALC: normal equations with weights 1 and 1/4: S = 3.75, Sx = 8.25, Sxx = 28.75.
    const determinant = 3.75 * 28.75 - 8.25 ** 2;
    expect(found.cofactor[0]).toBeCloseTo(28.75 / determinant, 10);
    expect(found.cofactor[3]).toBeCloseTo(3.75 / determinant, 10);
    expect(found.cofactor[1]).toBeCloseTo(-8.25 / determinant, 10);
  });

  it('refuses parameters that the data do not determine', () => {
    const sum = (b: Float64Array, target: Float64Array): void => {
      for (let i = 0; i < target.length; i++) target[i] = (b[0] + b[1]) * x[i];
    };
    expect(() => levenbergMarquardt({ data: [0, 1, 2, 3, 4, 6], start: [1, 1], model: sum })).toThrow(/do not determine/);
  });

  it('refuses a stationary place that is no minimum instead of returning the start', () => {
    // A point on the unit circle, as near as can be to (2, 0): angle 0 is the minimum, angle π the place farthest away, where the slope is zero too.
    const onCircle = (b: Float64Array, target: Float64Array): void => {
      target[0] = Math.cos(b[0]);
      target[1] = Math.sin(b[0]);
    };
    expect(() => levenbergMarquardt({ data: [2, 0], start: [Math.PI], model: onCircle })).toThrow(/no minimum/);
    expect(levenbergMarquardt({ data: [2, 0], start: [1], model: onCircle }).parameters[0]).toBeCloseTo(0, 9);
  });

  it('refuses models that are not finite at the start, fewer data than parameters, uncertainties that are not above zero', () => {
    const broken = (_: Float64Array, target: Float64Array): void => void target.fill(Number.NaN);
    expect(() => levenbergMarquardt({ data: x, start: [1, 1], model: broken })).toThrow(/not finite/);
    expect(() => levenbergMarquardt({ data: [1, 2], start: [1, 1, 1], model })).toThrow(/cannot determine/);
    expect(() => levenbergMarquardt({ data: x, sigma: [1, 1, 1, 0, 1, 1], start: [0, 1], model })).toThrow(/above zero/);
  });
});
