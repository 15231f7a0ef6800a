import { describe, expect, it } from 'vitest';
import { supportingLine, upperHull } from '../../src/numerics/supporting-line.ts';

const grid = (from: number, to: number, step: number): number[] =>
  Array.from({ length: Math.round((to - from) / step) + 1 }, (_, i) => from + i * step);

describe('supportingLine', () => {
  it('rests on both ends of a hollow', () => {
    const x = grid(-130, 140, 1);
    const scoop = (v: number): number => 0.1 * v + 0.5 * (((v - 5) / 135) ** 2 - 1);
    const line = supportingLine(x, x.map(scoop), 5);
    expect([line.from, line.to]).toEqual([-130, 140]);
    expect(line.slope).toBeCloseTo(0.1, 12);
    // CALC: a least-squares line through a parabolic hollow of depth s lies 2/3 s below the straightedge; the straightedge is at full height.
    expect(line.heightAt(195)).toBeCloseTo(19.5, 12);
  });

  it('touches a hump at one place: the edge over the middle is short', () => {
    const x = grid(-100, 100, 1);
    const line = supportingLine(
      x,
      x.map((v) => -1e-4 * v * v),
      0.5,
    );
    expect(line.to - line.from).toBeLessThanOrEqual(1);
    expect(line.slope).toBeCloseTo(-1e-4, 12);
  });

  it('bridges a dip between two crests, not the ends', () => {
    const line = supportingLine([0, 1, 2, 3, 4, 5], [0, 2, 1, 1, 2, 0], 2.5);
    expect([line.left, line.right, line.slope, line.heightAt(2.5)]).toEqual([1, 4, 0, 2]);
  });

  it('at a corner takes the edge to its right, at the end the last', () => {
    expect(supportingLine([0, 1, 2], [0, 1, 0], 1).left).toBe(1);
    expect(supportingLine([0, 1, 2], [0, 1, 0], 2).right).toBe(2);
    expect([...upperHull([0, 1, 2], [0, 0, 0])]).toEqual([0, 2]);
  });

  // CALC (check of 1° of tilt): a level neck turned by 1° about its point at x = 0 raises the projection by stop × tan 1°; from 7°, by
  // stop × (tan 8° − tan 7°).
  it.each([
    [195, 0, 3.404],
    [400, 0, 6.982],
    [195, 7, 3.462],
  ])('one degree of tilt at stop %i mm from %i° moves the line by %d mm', (stop, start, expected) => {
    const profile = grid(-130, 140, 1).map((v) => [v, 0.5 * (((v - 5) / 135) ** 2 - 1)] as const);
    const projection = (degrees: number): number => {
      const t = (degrees * Math.PI) / 180;
      const x = profile.map(([v, z]) => v * Math.cos(t) - z * Math.sin(t));
      const z = profile.map(([v, h]) => v * Math.sin(t) + h * Math.cos(t));
      return supportingLine(x, z, 0).heightAt(stop);
    };
    expect(Math.abs(projection(start + 1) - projection(start) - expected)).toBeLessThan(0.001);
  });

  it('refuses profiles that are none', () => {
    expect(() => supportingLine([0], [0], 0)).toThrow(/at least 2/);
    expect(() => supportingLine([0, 0], [0, 1], 0)).toThrow(/ascend/);
    expect(() => supportingLine([0, 1], [0, Number.NaN], 0)).toThrow(/not finite/);
    expect(() => supportingLine([0, 1], [0, 1], 2)).toThrow(/runs from/);
    expect(() => supportingLine([0, 1], [0], 0)).toThrow(/as many/);
  });
});
