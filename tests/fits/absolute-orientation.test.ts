import { describe, expect, it } from 'vitest';
import { absoluteOrientation } from '../../src/fits/absolute-orientation.ts';
import { applyToPoints, type Motion } from '../../src/geometry/motion.ts';
import { random } from '../../src/numerics/random.ts';
import { expectPullsUnit } from './pulls.ts';

const determinant = (m: Motion): number =>
  m[0] * (m[5] * m[10] - m[6] * m[9]) - m[1] * (m[4] * m[10] - m[6] * m[8]) + m[2] * (m[4] * m[9] - m[5] * m[8]);
const turn = (angle: number): Motion =>
  Float64Array.of(Math.cos(angle), -Math.sin(angle), 0, 10, Math.sin(angle), Math.cos(angle), 0, -5, 0, 0, 1, 3);

describe('absoluteOrientation', () => {
  it("Umeyama's example (inputs MEM, results CALC), rigid: a rotation although the mirror image would fit better", () => {
    // The example lies in a plane, where a turn in space would undo the mirror; a far pair above and below both centroids holds the plane.
    const pole = (x: number, y: number): number[] => [x, y, 50, x, y, -50];
    const from = [0, 0, 0, 1, 0, 0, 0, 2, 0, ...pole(1 / 3, 2 / 3)];
    const to = [0, 0, 0, -1, 0, 0, 0, 2, 0, ...pole(-1 / 3, 2 / 3)];
    const { motion, rms } = absoluteOrientation(from, to);
    const expected = [0.83205029, 0.5547002, 0, -0.98048356, -0.5547002, 0.83205029, 0, 0.29686654, 0, 0, 1, 0];
    expected.forEach((v, k) => {
      expect(motion[k]).toBeCloseTo(v, 8);
    });
    expect(determinant(motion)).toBeCloseTo(1, 14);
    // Mean squared error of its three points, CALC in closed form: (20 − 4 √13) / 9 = 0.619755.
    expect((rms ** 2 * (3 * 5 - 6)) / 3).toBeCloseTo((20 - 4 * Math.sqrt(13)) / 9, 12);
  });

  it('finds known motions exactly, half turns included', () => {
    const stream = random('orientation');
    const points = Float64Array.from({ length: 30 }, () => 100 * stream.normal());
    for (const angle of [0, 1e-6, 1, 3, Math.PI]) {
      const truth = turn(angle);
      const { motion, rms } = absoluteOrientation(points, applyToPoints(truth, points, new Float64Array(30)));
      truth.forEach((v, k) => {
        expect(motion[k]).toBeCloseTo(v, 10);
      });
      expect(rms).toBeLessThan(1e-12);
    }
  });

  it('a mirrored body does not register well, and is not mirrored back', () => {
    const stream = random('mirror');
    const points = Float64Array.from({ length: 60 }, () => 100 * stream.normal());
    const { motion, rms } = absoluteOrientation(
      points,
      points.map((v, i) => (i % 3 === 1 ? -v : v)),
    );
    expect(determinant(motion)).toBeCloseTo(1, 12);
    expect(rms).toBeGreaterThan(30);
  });

  it('its uncertainties are honest: pulls of rotation and shift have unit spread', () => {
    const stream = random('orientation pulls');
    const n = 12;
    const points = Float64Array.from({ length: 3 * n }, (_, i) => (i % 3 === 0 ? 200 : 40) * stream.normal());
    const pulls: number[][] = [[], [], [], []];
    for (let trial = 0; trial < 800; trial++) {
      const { motion, covariance } = absoluteOrientation(
        points,
        points.map((v) => v + 0.1 * stream.normal()),
      );
      // The true motion is none: its rotation vector is what is found.
      pulls[0].push((motion[9] - motion[6]) / 2 / Math.sqrt(covariance[0]));
      pulls[1].push((motion[2] - motion[8]) / 2 / Math.sqrt(covariance[7]));
      pulls[2].push((motion[4] - motion[1]) / 2 / Math.sqrt(covariance[14]));
      pulls[3].push(shiftAtCentroid(motion, points) / Math.sqrt(covariance[21]));
    }
    pulls.forEach((p, k) => {
      expectPullsUnit(p, 3 * n - 6, ['rotation about x', 'about y', 'about z', 'shift'][k]);
    });
  });

  it('leaves out points of weight zero', () => {
    const from = [0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1, 7, 7, 7];
    const to = [1, 0, 0, 2, 0, 0, 1, 1, 0, 1, 0, 1, -9, 0, 3];
    const { motion, n } = absoluteOrientation(from, to, [1, 1, 1, 1, 0]);
    expect(motion[3]).toBeCloseTo(1, 14);
    expect(n).toBe(4);
  });

  it('refuses what leaves a motion open', () => {
    expect(() => absoluteOrientation([0, 0, 0, 1, 0, 0], [0, 0, 0, 1, 0, 0])).toThrow(/at least 3/);
    const line = [0, 0, 0, 1, 1, 1, 2, 2, 2, 5, 5, 5];
    expect(() => absoluteOrientation(line, line)).toThrow(/on one line/);
    expect(() => absoluteOrientation(line, [0, 0, 0])).toThrow(/cannot be paired/);
  });
});

function shiftAtCentroid(m: Motion, points: Float64Array): number {
  const n = points.length / 3;
  let shift = 0;
  for (let i = 0; i < n; i++)
    shift += (m[0] * points[3 * i] + m[1] * points[3 * i + 1] + m[2] * points[3 * i + 2] + m[3] - points[3 * i]) / n;
  return shift;
}
