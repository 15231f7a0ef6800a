import { describe, expect, it } from 'vitest';
import { fitCone } from '../../src/fits/cone.ts';
import { fitCylinder } from '../../src/fits/cylinder.ts';
import { dot, type Vec3 } from '../../src/geometry/vec3.ts';
import { random } from '../../src/numerics/random.ts';
import { expectPullsUnit } from './pulls.ts';

/** A sector of a cone about the x axis: radius `r0 + slope · x`, x from −60 to 60, ±`half` rad round +z, with noise along the normal. */
function sector(
  r0: number,
  slope: number,
  half: number,
  n: number,
  draw: { uniform(): number; normal(): number },
  sigma: number,
): number[] {
  const psi = Math.atan(slope);
  return Array.from({ length: n }, () => {
    const x = 120 * (draw.uniform() - 0.5);
    const t = half * (2 * draw.uniform() - 1);
    const off = sigma * draw.normal();
    const r = r0 + slope * x + off * Math.cos(psi);
    return [x - off * Math.sin(psi), r * Math.sin(t), r * Math.cos(t)];
  }).flat();
}

describe('fitCylinder', () => {
  it('its uncertainties are honest: pulls of radius and axis have unit spread', () => {
    const stream = random('cylinder pulls');
    const n = 60;
    const radius: number[] = [];
    const swing: number[] = [];
    for (let trial = 0; trial < 150; trial++) {
      const fit = fitCylinder(sector(15, 0, 1.2, n, stream, 0.05), { axis: [1, 0.05, -0.03] });
      radius.push((fit.radius - 15) / Math.sqrt(fit.covariance[24]));
      // Slope of the found axis towards y, from the covariance of its slopes towards a and b.
      const towards = [fit.a[1], fit.b[1]];
      const variance =
        towards[0] ** 2 * fit.covariance[12] + 2 * towards[0] * towards[1] * fit.covariance[13] + towards[1] ** 2 * fit.covariance[18];
      swing.push(fit.axis[1] / Math.sqrt(variance));
    }
    expectPullsUnit(radius, n - 5, 'radius');
    expectPullsUnit(swing, n - 5, 'axis');
  });

  it('needs no axis, and finds the same with one', () => {
    const points = sector(20, 0, 2, 80, random('cylinder axis'), 0.02);
    const free = fitCylinder(points);
    const given = fitCylinder(points, { axis: [1, 0.1, 0.1] });
    expect(free.radius).toBeCloseTo(given.radius, 8);
    expect(Math.abs(dot(free.axis, given.axis))).toBeCloseTo(1, 12);
    expect(Math.abs(free.axis[0])).toBeGreaterThan(0.999);
  });

  it('refuses too few points and points in one place', () => {
    expect(() => fitCylinder([0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1])).toThrow(/at least 5/);
    expect(() => fitCylinder(new Float64Array(30))).toThrow(/one place/);
  });
});

describe('fitCone', () => {
  it('its uncertainties are honest: pulls of half angle and distance have unit spread', () => {
    const stream = random('cone pulls');
    const n = 60;
    const angle: number[] = [];
    const distance: number[] = [];
    const slope = 0.1;
    for (let trial = 0; trial < 150; trial++) {
      const fit = fitCone(sector(15, slope, 1.5, n, stream, 0.05), { axis: [1, 0.05, 0.05] });
      angle.push((fit.halfAngle - Math.atan(slope)) / Math.sqrt(fit.covariance[35]));
      const truth = (15 + slope * fit.point[0]) * Math.cos(Math.atan(slope));
      distance.push((fit.distance - truth) / Math.sqrt(fit.covariance[28]));
    }
    expectPullsUnit(angle, n - 6, 'half angle');
    expectPullsUnit(distance, n - 6, 'distance');
  });

  it('a board: 24 to 42 mm wide, radius growing, axis towards growth', () => {
    const fit = fitCone(sector(36, 0.04, 0.45, 300, random('board'), 0.03));
    const growth: Vec3 = [1, 0, 0];
    expect(dot(fit.axis, growth)).toBeGreaterThan(0.99);
    expect(Math.abs(fit.rms - 0.03)).toBeLessThan(0.006);
    expect(fit.radius).toBeCloseTo(fit.distance / Math.cos(fit.halfAngle), 12);
  });

  it('refuses too few points', () => {
    expect(() => fitCone(new Float64Array(15).map((_, i) => i * i))).toThrow(/at least 6/);
  });
});
