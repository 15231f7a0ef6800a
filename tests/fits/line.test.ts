import { describe, expect, it } from 'vitest';
import { fitLine2d, fitLine3d } from '../../src/fits/line.ts';
import { dot, norm } from '../../src/geometry/vec3.ts';
import { random } from '../../src/numerics/random.ts';
import { expectPullsUnit } from './pulls.ts';

describe('fitLine3d', () => {
  it('its uncertainties are honest: pulls of slopes and offsets have unit spread', () => {
    const stream = random('line pulls in space');
    const pulls: number[][] = [[], []];
    const n = 20;
    for (let trial = 0; trial < 800; trial++) {
      const points: number[] = [];
      for (let i = 0; i < n; i++) points.push(10 * i, 0.05 * stream.normal(), 0.05 * stream.normal());
      const fit = fitLine3d(points);
      // The true line is the x axis; slopes and offsets across have the same uncertainty in every direction.
      pulls[0].push(fit.direction[1] / Math.sqrt(fit.covariance[0]));
      pulls[1].push(fit.centroid[2] / Math.sqrt(fit.covariance[10]));
    }
    expectPullsUnit(pulls[0], 2 * n - 4, 'slope');
    expectPullsUnit(pulls[1], 2 * n - 4, 'offset');
  });

  it('finds the direction and keeps a right-handed frame', () => {
    const fit = fitLine3d([0, 0, 0, 1, 2, 2, 2, 4, 4]);
    expect(norm([fit.direction[0] - 1 / 3, fit.direction[1] - 2 / 3, fit.direction[2] - 2 / 3])).toBeLessThan(1e-14);
    expect(dot(fit.a, fit.direction)).toBeCloseTo(0, 14);
    expect(fit.rms).toBeLessThan(1e-14);
  });

  it('refuses points in one place, one point, and clouds without a direction', () => {
    expect(() => fitLine3d([1, 1, 1])).toThrow(/at least 2/);
    expect(() => fitLine3d([1, 1, 1, 1, 1, 1])).toThrow(/one place/);
    expect(() => fitLine3d([1, 0, 0, -1, 0, 0, 0, 1, 0, 0, -1, 0])).toThrow(/as far in two directions/);
  });
});

describe('fitLine2d', () => {
  it('its uncertainties are honest: pulls of angle and offset have unit spread', () => {
    const stream = random('line pulls');
    const pulls: number[][] = [[], []];
    const n = 15;
    const angle = 0.4;
    for (let trial = 0; trial < 1000; trial++) {
      const points: number[] = [];
      for (let i = 0; i < n; i++) {
        const along = 2 * i;
        const off = 0.03 * stream.normal();
        points.push(along * Math.cos(angle) - off * Math.sin(angle), along * Math.sin(angle) + off * Math.cos(angle));
      }
      const fit = fitLine2d(points);
      pulls[0].push((Math.atan2(fit.direction[1], fit.direction[0]) - angle) / Math.sqrt(fit.covariance[0]));
      const off = -fit.centroid[0] * Math.sin(angle) + fit.centroid[1] * Math.cos(angle);
      pulls[1].push(off / Math.sqrt(fit.covariance[3]));
    }
    expectPullsUnit(pulls[0], n - 2, 'angle');
    expectPullsUnit(pulls[1], n - 2, 'offset');
  });

  it('a steep line is as good as a flat one', () => {
    const fit = fitLine2d([0, 0, 0, 5, 0, 10]);
    expect(fit.direction).toEqual([0, 1]);
    expect(fit.normal).toEqual([-1, 0]);
  });
});
