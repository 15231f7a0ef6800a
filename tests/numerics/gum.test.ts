import { describe, expect, it } from 'vitest';
import { shortestInterval, summariseDraws } from '../../src/numerics/monte-carlo.ts';
import { covarianceOf, effectiveDof, propagate, sensitivitiesOf } from '../../src/numerics/propagation.ts';
import { random } from '../../src/numerics/random.ts';
import { coverageFactor } from '../../src/numerics/student.ts';

// Worked examples of the Guide to the Expression of Uncertainty in Measurement, JCGM 100:2008, and of its supplement 1, JCGM 101:2008.

describe('GUM H.1, end gauge (READ in MSLNZ/GTC, GUM_H1)', () => {
  // l = l_s + d − l_s (δα θ + α_s δθ); nm, with θ the mean temperature offset and its cyclic part.
  const length = ([d1, d2, d3, ls, alpha, deltaAlpha, deltaTheta, theta, cyclic]: Float64Array): number[] => [
    ls + d1 + d2 + d3 - ls * (deltaAlpha * (theta + cyclic) + alpha * deltaTheta),
  ];
  const x = Float64Array.of(215, 0, 0, 50_000_623, 11.5e-6, 0, 0, -0.1, 0);
  const rectangular = (half: number): number => half / Math.sqrt(3);
  const u = [5.8, 3.9, 6.7, 25, rectangular(2e-6), rectangular(1e-6), rectangular(0.05), 0.2, 0.5 / Math.SQRT2];
  const dofs = [24, 5, 8, 18, Number.POSITIVE_INFINITY, 50, 2, Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
  const sensitivities = sensitivitiesOf(length, x, u);

  it('length and combined standard uncertainty', () => {
    expect(length(x)[0]).toBeCloseTo(50_000_838, 6);
    expect(Math.sqrt(propagate(sensitivities, covarianceOf(u))[0])).toBeCloseTo(31.664, 3);
  });

  it('contributions and effective degrees of freedom', () => {
    const contributions = Array.from(sensitivities, (c, j) => Math.abs(c) * u[j]);
    expect(contributions[6]).toBeCloseTo(16.599, 3);
    expect(contributions[5]).toBeCloseTo(2.8868, 4);
    expect(effectiveDof(contributions, dofs)).toBeCloseTo(16.75, 2);
    expect(coverageFactor(0.99, 16) * 31.664).toBeCloseTo(92.5, 1);
  });
});

describe('GUM H.2, resistance and reactance with correlated inputs (READ in MSLNZ/GTC)', () => {
  it('propagates through to values, uncertainties and correlations', () => {
    const x = Float64Array.of(4.999, 19.661e-3, 1.04446);
    const u = [3.2e-3, 9.5e-6, 7.5e-4];
    const f = ([v, i, phi]: Float64Array): number[] => [(v / i) * Math.cos(phi), (v / i) * Math.sin(phi), v / i];
    const [r, reactance, z] = f(x);
    expect(r).toBeCloseTo(127.732, 3);
    expect(reactance).toBeCloseTo(219.8465, 3);
    expect(z).toBeCloseTo(254.26, 2);
    const inputs = covarianceOf(u, [
      [0, 1, -0.36],
      [0, 2, 0.86],
      [1, 2, -0.65],
    ]);
    const c = propagate(sensitivitiesOf(f, x, u), inputs);
    const [ur, ux, uz] = [0, 4, 8].map((k) => Math.sqrt(c[k]));
    // CALC: 0.06998, 0.29572, 0.23660; r = −0.5915, −0.4906, 0.9928.
    expect(ur).toBeCloseTo(0.06998, 5);
    expect(ux).toBeCloseTo(0.29572, 5);
    expect(uz).toBeCloseTo(0.2366, 4);
    expect(c[1] / ur / ux).toBeCloseTo(-0.5915, 3);
    expect(c[2] / ur / uz).toBeCloseTo(-0.4906, 3);
    expect(c[5] / ux / uz).toBeCloseTo(0.9928, 3);
  });
});

describe('propagation', () => {
  it('takes known inputs as infinitely certain and refuses what does not fit', () => {
    expect(effectiveDof([1, 2], [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY])).toBe(Number.POSITIVE_INFINITY);
    expect([...sensitivitiesOf(([a, b]) => [a * b], [2, 3], [0.1, 0])]).toEqual([expect.closeTo(3, 12), 0]);
    expect(() => propagate([1, 2, 3], [1, 0, 0, 1])).toThrow(/do not belong/);
    expect(() => propagate([1], [1, 2])).toThrow(/square/);
    expect(() => covarianceOf([1, 1], [[0, 1, 1.1]])).toThrow(/between/);
    expect(() => effectiveDof([1], [0])).toThrow(/above zero/);
    expect(() => effectiveDof([1], [1, 2])).toThrow(/as many/);
  });
});

describe('JCGM 101:2008, clause 9 (table entries MEM, confirmed CALC with 4e6 trials)', () => {
  const trials = 200_000;
  const run = (key: string, model: (uniform: () => number, normal: () => number) => number): ReturnType<typeof summariseDraws> => {
    const stream = random(key);
    return summariseDraws(
      Float64Array.from({ length: trials }, () =>
        model(
          () => Math.sqrt(3) * (2 * stream.uniform() - 1),
          () => stream.normal(),
        ),
      ),
    );
  };

  it('9.2.2, four normal inputs: u 2.00, 95 % ±3.92', () => {
    const found = run('9.2.2', (_, n) => n() + n() + n() + n());
    expect(Math.abs(found.u - 2)).toBeLessThan(0.015 /* 4 standard errors of 200 000 trials */);
    expect(Math.abs((found.high - found.low) / 2 - 3.92)).toBeLessThan(0.03);
  });

  it('9.2.3, four rectangular inputs: ±3.88, not the 3.92 of the first-order method', () => {
    const found = run('9.2.3', (r) => r() + r() + r() + r());
    expect(Math.abs(found.u - 2)).toBeLessThan(0.015);
    expect(Math.abs((found.high - found.low) / 2 - 3.88)).toBeLessThan(0.02);
  });

  it('9.2.4, one input dominates: u 10.1, ±17.0, not 19.9', () => {
    const found = run('9.2.4', (r) => r() + r() + r() + 10 * r());
    expect(Math.abs(found.u - 10.148)).toBeLessThan(0.06);
    expect(Math.abs((found.high - found.low) / 2 - 17.014)).toBeLessThan(0.08);
  });

  it('9.3, mass calibration: 1.234, u 0.0754, shortest 95 % interval 1.083 … 1.383', () => {
    const stream = random('9.3');
    const rectangular = (low: number, high: number): number => low + (high - low) * stream.uniform();
    const draws = Float64Array.from({ length: trials }, () => {
      const reference = 100_000 + 0.05 * stream.normal();
      const balance = 1.234 + 0.02 * stream.normal();
      const air = rectangular(1.1, 1.3);
      const densityWeight = rectangular(7000, 9000);
      const densityReference = rectangular(7950, 8050);
      return (reference + balance) * (1 + (air - 1.2) * (1 / densityWeight - 1 / densityReference)) - 100_000;
    });
    const found = summariseDraws(draws);
    expect(Math.abs(found.mean - 1.234)).toBeLessThan(0.001);
    expect(Math.abs(found.u - 0.0754)).toBeLessThan(0.0006);
    expect(Math.abs(found.low - 1.083)).toBeLessThan(0.004);
    expect(Math.abs(found.high - 1.383)).toBeLessThan(0.004);
  });

  it.each([
    [0, 50, 50, 0, 150],
    [0.01, 150, 112, 0, 367],
    [0.05, 2550, 502, 1590, 3543],
  ])('9.4, comparison loss at x₁ = %d: first order would say u = 0 at 0', (x1, mean, u, low, high) => {
    const found = run(`9.4 ${x1}`, (_, n) => 1e6 * ((x1 + 0.005 * n()) ** 2 + (0.005 * n()) ** 2));
    expect(Math.abs(found.mean / mean - 1)).toBeLessThan(0.02);
    expect(Math.abs(found.u / u - 1)).toBeLessThan(0.02);
    expect(Math.abs(found.low - low)).toBeLessThan(0.02 * high);
    expect(Math.abs(found.high / high - 1)).toBeLessThan(0.02);
  });

  it('refuses too few draws and coverages that are none', () => {
    expect(() => shortestInterval([1, 2, 3], 0.95)).toThrow(/needs more than 3/);
    expect(() => shortestInterval([1, 2, 3], 1)).toThrow(/between 0 and 1/);
    expect(() => shortestInterval([1, 2, Number.POSITIVE_INFINITY, 3], 0.5)).toThrow(/not finite/);
  });
});
