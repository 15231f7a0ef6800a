import { describe, expect, it } from 'vitest';
import { fitPolynomial, fitPolynomialSurface } from '../../src/fits/polynomial.ts';
import { random } from '../../src/numerics/random.ts';
import { studentProbability, studentQuantile } from '../../src/numerics/student.ts';
import { expectPullsUnit } from './pulls.ts';

describe('fitPolynomial', () => {
  // GUM H.3 (JCGM 100:2008), calibration of a thermometer: a line produced well beyond its data. READ in MSLNZ/GTC, more digits CALC.
  it('GUM H.3: value and uncertainty of a line produced to 30 °C', () => {
    const t = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.01, 26.511];
    const b = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.16];
    const line = fitPolynomial(
      t.map((v) => v - 20),
      b,
      1,
    );
    expect(line.value(0)).toBeCloseTo(-0.17120379, 8);
    expect(line.slope(0)).toBeCloseTo(0.0021827, 7);
    expect(line.valueU(0)).toBeCloseTo(0.0028776, 7);
    expect(line.slopeU(0)).toBeCloseTo(0.00066794, 8);
    expect(line.value(10)).toBeCloseTo(-0.14937681, 8);
    expect(line.valueU(10)).toBeCloseTo(0.0041386, 7);
    expect(line.rms).toBeCloseTo(0.00349756, 8);
    // r(intercept, slope) = −0.930430, from cov(y(0), y(1)) − var(y(0)).
    const slopeCovariance = line.covarianceOf(0, 1) - line.valueU(0) ** 2;
    expect(slopeCovariance / line.valueU(0) / line.slopeU(0)).toBeCloseTo(-0.93043, 5);
  });

  it('is exact for polynomials of its degree, derivatives included, far from zero', () => {
    const x = [1000, 1001, 1003, 1004, 1007];
    const fit = fitPolynomial(
      x,
      x.map((v) => (v - 1002) ** 3),
      3,
    );
    expect(fit.value(1010)).toBeCloseTo(512, 9);
    expect(fit.slope(1005)).toBeCloseTo(27, 9);
    expect(fit.bend(1005)).toBeCloseTo(18, 9);
  });

  // The exact interval of a normal linear model: prediction ± t(0.975, n − 2) · u, whatever n and however far off (Student).
  it.each([
    [4, 2],
    [6, 10],
    [11, 40],
  ])('a straight line through %i points, read at %d: Student’s interval holds the truth in 95 of 100 cases', (n, at) => {
    const stream = random(`student line ${n}`);
    const x = Array.from({ length: n }, (_, i) => i);
    const trials = 8000;
    const t = studentQuantile(0.975, n - 2);
    let inside = 0;
    let normal = 0;
    for (let trial = 0; trial < trials; trial++) {
      const line = fitPolynomial(
        x,
        x.map((v) => 5 - 0.3 * v + 0.02 * stream.normal()),
        1,
      );
      const pull = Math.abs(line.value(at) - (5 - 0.3 * at)) / line.valueU(at);
      if (pull < t) inside++;
      if (pull < 1.96) normal++;
    }
    // Four standard errors of a share of 0.95 in 8000 trials.
    expect(Math.abs(inside / trials - 0.95)).toBeLessThan(0.01);
    // With the normal distribution's 1.96 the share is that of Student's distribution within it, which is less.
    expect(Math.abs(normal / trials - (2 * studentProbability(1.96, n - 2) - 1))).toBeLessThan(0.02);
  });

  it('its uncertainties are honest inside and beyond the data', () => {
    const stream = random('polynomial pulls');
    const x = Array.from({ length: 25 }, (_, i) => i);
    const sigma = x.map((v) => 0.02 + 0.002 * v);
    const truth = (v: number): number => 3 + 0.1 * v - 0.004 * v * v;
    const pulls: number[][] = [[], [], []];
    for (let trial = 0; trial < 1000; trial++) {
      const fit = fitPolynomial(
        x,
        x.map((v, i) => truth(v) + sigma[i] * stream.normal()),
        2,
        sigma.map((s) => 1 / s ** 2),
      );
      pulls[0].push((fit.value(12) - truth(12)) / fit.valueU(12));
      pulls[1].push((fit.value(35) - truth(35)) / fit.valueU(35));
      pulls[2].push((fit.slope(24) - (0.1 - 0.008 * 24)) / fit.slopeU(24));
    }
    expectPullsUnit(pulls[0], 22, 'value inside');
    expectPullsUnit(pulls[1], 22, 'value beyond');
    expectPullsUnit(pulls[2], 22, 'slope at the end');
  });

  it('refuses too few abscissae and degrees that are none', () => {
    expect(() => fitPolynomial([1, 1, 1], [1, 2, 3], 1)).toThrow(RangeError);
    expect(() => fitPolynomial([1, 2], [1, 2], 2)).toThrow(/at least 3 rows/);
    expect(() => fitPolynomial([1, 2], [1], 1)).toThrow(/as many values/);
    expect(() => fitPolynomial([1, 2], [1, 2], 0.5)).toThrow(/whole number/);
    expect(fitPolynomial([1, 2], [1, 2], 1).valueU(1)).toBe(Number.POSITIVE_INFINITY);
  });
});

describe('fitPolynomialSurface', () => {
  const grid = Array.from({ length: 60 }, (_, i) => [10 * (i % 10) - 200, 3 * Math.floor(i / 10) + 50] as const);
  const x = grid.map((g) => g[0]);
  const y = grid.map((g) => g[1]);
  const truth = (u: number, v: number): number => 2 + 0.01 * u - 0.02 * v + 1e-4 * u * u + 3e-3 * u * v - 2e-3 * v * v;

  it('is exact for surfaces of its degrees, slopes included', () => {
    const fit = fitPolynomialSurface(
      x,
      y,
      grid.map(([u, v]) => truth(u, v)),
      2,
      2,
      { total: 2 },
    );
    expect(fit.fit.coefficients.length).toBe(6);
    expect(fit.value(-120, 77)).toBeCloseTo(truth(-120, 77), 9);
    const [alongX, alongY] = fit.gradient(-120, 77);
    expect(alongX).toBeCloseTo(0.01 - 0.024 + 0.231, 9);
    expect(alongY).toBeCloseTo(-0.02 - 0.36 - 0.308, 9);
  });

  it('its uncertainties are honest', () => {
    const stream = random('surface pulls');
    const pulls: number[] = [];
    for (let trial = 0; trial < 500; trial++) {
      const fit = fitPolynomialSurface(
        x,
        y,
        grid.map(([u, v]) => truth(u, v) + 0.05 * stream.normal()),
        2,
        2,
      );
      pulls.push((fit.value(-155, 58) - truth(-155, 58)) / fit.valueU(-155, 58));
    }
    expectPullsUnit(pulls, 60 - 9, 'height');
  });

  it('refuses points that do not carry all terms', () => {
    expect(() => fitPolynomialSurface([0, 1, 2, 3], [0, 0, 0, 0], [1, 2, 3, 4], 1, 1)).toThrow(RangeError);
    expect(() => fitPolynomialSurface([0, 1], [0], [1, 2], 0, 0)).toThrow(/as many x and y/);
  });
});
