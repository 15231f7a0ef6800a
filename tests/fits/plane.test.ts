import { describe, expect, it } from 'vitest';
import { fitPlane } from '../../src/fits/plane.ts';
import { dot } from '../../src/geometry/vec3.ts';
import { random } from '../../src/numerics/random.ts';
import { expectPullsUnit } from './pulls.ts';

describe('fitPlane', () => {
  it('its uncertainties are honest: pulls of slopes and offset have unit spread', () => {
    const stream = random('plane pulls');
    const pulls: number[][] = [[], [], []];
    const n = 40;
    for (let trial = 0; trial < 800; trial++) {
      const points: number[] = [];
      const weights: number[] = [];
      for (let i = 0; i < n; i++) {
        // Half of the points are twice as noisy and weigh a quarter; the true plane is z = 0.
        const noise = i % 2 === 0 ? 0.05 : 0.1;
        points.push(100 * stream.normal(), 30 * stream.normal(), noise * stream.normal());
        weights.push(1 / noise ** 2);
      }
      const fit = fitPlane(points, weights);
      pulls[0].push(fit.u[2] / Math.sqrt(fit.covariance[0]));
      pulls[1].push(fit.v[2] / Math.sqrt(fit.covariance[4]));
      pulls[2].push(fit.centroid[2] / Math.sqrt(fit.covariance[8]));
    }
    // u and v have no preferred sign, nor have their slopes.
    expectPullsUnit(pulls[0], n - 3, 'slope along the longer extent');
    expectPullsUnit(pulls[1], n - 3, 'slope along the shorter extent');
    expectPullsUnit(pulls[2], n - 3, 'offset');
  });

  it('is the same plane after a shift by kilometres and a change of unit', () => {
    const stream = random('plane invariance');
    const points = Float64Array.from({ length: 300 }, () => stream.uniform() * 50).map((v, i) => (i % 3 === 2 ? v * 0.01 : v));
    const near = fitPlane(points);
    const far = fitPlane(points.map((v, i) => v + (i % 3 === 0 ? 1e6 : 0)));
    const inches = fitPlane(points.map((v) => v / 25.4));
    expect(dot(near.normal, far.normal)).toBeCloseTo(1, 14);
    expect(far.rms / near.rms).toBeCloseTo(1, 6);
    expect((inches.rms * 25.4) / near.rms).toBeCloseTo(1, 12);
    expect(near.offset).toBeCloseTo(dot(near.normal, near.centroid), 14);
  });

  it('ignores points of weight zero', () => {
    const fit = fitPlane([0, 0, 0, 1, 0, 0, 0, 1, 0, 1, 1, 0, 5, 5, 99], [1, 1, 1, 1, 0]);
    expect(fit.normal).toEqual([0, 0, 1]);
    expect([fit.n, fit.rms]).toEqual([4, 0]);
  });

  it('three points leave no residual: an unbounded covariance', () => {
    expect(fitPlane([0, 0, 0, 1, 0, 0, 0, 1, 0]).covariance[8]).toBe(Number.POSITIVE_INFINITY);
  });

  it('refuses 0, 1, 2 points, points on a line, in one place, not finite', () => {
    expect(() => fitPlane([])).toThrow(/at least one point/);
    expect(() => fitPlane([0, 0, 0])).toThrow(/at least 3 points/);
    expect(() => fitPlane([0, 0, 0, 1, 1, 1])).toThrow(/at least 3 points/);
    expect(() => fitPlane([0, 0, 0, 1, 1, 1, 2, 2, 2, 3, 3, 3])).toThrow(/on one line/);
    expect(() => fitPlane([1, 2, 3, 1, 2, 3, 1, 2, 3])).toThrow(/on one line/);
    expect(() => fitPlane([0, 0, 0, 1, 0, 0, 0, Number.NaN, 0])).toThrow(/not finite/);
    expect(() => fitPlane([0, 0, 0, 1], undefined)).toThrow(/whole number of points/);
    expect(() => fitPlane([0, 0, 0, 1, 0, 0, 0, 1, 0], [1, 1])).toThrow(/need 3 weights/);
    expect(() => fitPlane([0, 0, 0, 1, 0, 0, 0, 1, 0], [1, 1, -1])).toThrow(/zero or more/);
  });
});
