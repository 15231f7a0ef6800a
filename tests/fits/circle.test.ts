import { describe, expect, it } from 'vitest';
import { fitCircle, fitCircleTaubin } from '../../src/fits/circle.ts';
import { random } from '../../src/numerics/random.ts';
import { expectPullsUnit } from './pulls.ts';

/** Points of an arc of `radius` about (0, −radius) that spans ±`half` rad round its crown, with noise along the normal. */
function arc(radius: number, half: number, n: number, noise: () => number): number[] {
  return Array.from({ length: n }, (_, i) => {
    const t = half * ((2 * i) / (n - 1) - 1);
    const r = radius + noise();
    return [r * Math.sin(t), r * Math.cos(t) - radius];
  }).flat();
}

describe('fitCircle', () => {
  // Gander, Golub & Strebel, BIT 34 (1994) 558; points and algebraic fits READ-2nd (MDMTseng/visSele, TestAlgebraicCircleFits.cpp), geometric fit CALC.
  const gander = [1, 7, 2, 6, 5, 8, 7, 7, 9, 5, 3, 7];

  it('Gander, Golub & Strebel: the geometric circle', () => {
    const fit = fitCircle(gander);
    expect(fit.centre[0]).toBeCloseTo(4.7397824, 6);
    expect(fit.centre[1]).toBeCloseTo(2.9835327, 6);
    expect(fit.radius).toBeCloseTo(4.714226, 6);
    expect(fit.rms ** 2 * 3).toBeCloseTo(1.2275991, 6);
  });

  it("Gander, Golub & Strebel: Taubin's algebraic circle", () => {
    const fit = fitCircleTaubin(gander);
    expect(fit.centre[0]).toBeCloseTo(4.613933, 5);
    expect(fit.centre[1]).toBeCloseTo(2.795209, 5);
    expect(fit.radius).toBeCloseTo(4.879213, 5);
  });

  it('nearly straight arc of Pratt 1987 (READ-2nd, same source): r about 22, where the simplest algebraic fit says 1.04', () => {
    const fit = fitCircle([-1, 0, -0.3, -0.06, 0.3, 0.1, 1, 0]);
    expect(Math.abs(fit.radius - 22.18)).toBeLessThan(0.5);
    // And it says that this radius is no knowledge: the curvature is below its own uncertainty.
    expect(fit.curvatureU).toBeGreaterThan(fit.curvature);
  });

  it.each([
    ['short arc of a board', 42, 0.45, 0.03],
    ['full circle', 12, Math.PI, 0.1],
  ])('its uncertainties are honest: %s', (_, radius, half, sigma) => {
    const stream = random(`circle pulls ${radius}`);
    const n = 30;
    const pulls: number[][] = [[], [], []];
    for (let trial = 0; trial < 600; trial++) {
      const fit = fitCircle(arc(radius, half, n, () => sigma * stream.normal()));
      pulls[0].push(fit.centre[0] / Math.sqrt(fit.covariance[0]));
      pulls[1].push((fit.centre[1] + radius) / Math.sqrt(fit.covariance[4]));
      pulls[2].push((fit.curvature - 1 / radius) / fit.curvatureU);
    }
    expectPullsUnit(pulls[0], n - 3, 'centre x');
    expectPullsUnit(pulls[1], n - 3, 'centre y');
    expectPullsUnit(pulls[2], n - 3, 'curvature');
  });

  it('converges from full circle to straight line', () => {
    const stream = random('circle range');
    for (const half of [3, 1, 0.3, 0.1, 0.03, 0.01, 0.003]) {
      const fit = fitCircle(arc(100, half, 50, () => 0.001 * stream.normal()));
      expect(Math.abs(fit.curvature - 0.01)).toBeLessThan(5 * fit.curvatureU);
    }
    const straight = fitCircle([0, 0, 1, 1, 2, 2, 3, 3]);
    expect(straight.curvature).toBeLessThan(1e-12);
    expect(straight.radius).toBeGreaterThan(1e12);
  });

  it('agrees in any pose and unit', () => {
    const points = arc(42, 0.5, 20, () => 0);
    const bent = points.map((v, i) => v + (i % 7 === 0 ? 0.05 : 0));
    const turned = bent.flatMap((_, i) => (i % 2 === 0 ? [1000 - bent[i + 1] / 25.4, 500 + bent[i] / 25.4] : []));
    expect(fitCircle(turned).radius * 25.4).toBeCloseTo(fitCircle(bent).radius, 8);
  });

  it('refuses what carries no circle', () => {
    expect(() => fitCircle([0, 0, 1, 1])).toThrow(/at least 3/);
    expect(() => fitCircle([1, 1, 1, 1, 1, 1])).toThrow(/one place/);
    expect(() => fitCircle([0, 0, 0, 0, 1, 1, 1, 1])).toThrow(RangeError);
    expect(() => fitCircle([0, 0, 1, Number.NaN, 2, 2])).toThrow(/not finite/);
  });
});
