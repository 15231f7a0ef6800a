import { describe, expect, it } from 'vitest';
import { datums } from '../../src/frame/datums.ts';
import { seenOutline } from '../../src/frame/seen-outline.ts';
import { applyToPoints } from '../../src/geometry/motion.ts';
import { edgeSamples, LENGTH, PLAIN } from './edge-samples.ts';

const placed = (motion: ReturnType<typeof datums>['motion'], p: readonly number[]): Float64Array =>
  applyToPoints(motion, Float64Array.from(p), new Float64Array(3));

describe('datums from exact samples', () => {
  it('puts the plane through the crest', () => {
    const { motion } = datums(edgeSamples({ ...PLAIN, plane: [0.7, 0.004, -0.003] }), LENGTH);
    for (const [x, y] of [
      [30, -60],
      [200, 55],
      [340, 20],
    ])
      expect(placed(motion, [x, y, 0.7 + 0.004 * x - 0.003 * y])[2]).toBeCloseTo(0, 9);
  });

  it('bisects the outline, also where a stretch of a bout is not seen', () => {
    for (const gap of [PLAIN.gap, [0.72, 0.79] as const]) {
      const { motion } = datums(edgeSamples({ ...PLAIN, middle: [0.8, 0.006], gap }), LENGTH);
      expect(placed(motion, [50, 0.8 + 0.3, 0])[1]).toBeCloseTo(0, 9);
      expect(placed(motion, [300, 0.8 + 1.8, 0])[1]).toBeCloseTo(0, 9);
    }
  });

  it('counts x from where the outline meets the sides of the root', () => {
    const found = datums(edgeSamples(PLAIN, 1.3), LENGTH);
    expect(found.hasJoint).toBe(true);
    expect(placed(found.motion, [1.3, 0, 0])[0]).toBeCloseTo(0, 2);
  });

  it('has no joint without a root', () => {
    const samples = edgeSamples(PLAIN);
    const none = { count: 0, xyz: new Float64Array(0), normal: new Float64Array(0), u: new Float64Array(0), weight: new Float64Array(0) };
    expect(datums({ ...samples, rootBass: none, rootTreble: none }, LENGTH).hasJoint).toBe(false);
  });
});

describe('what is seen of the outline', () => {
  const look = (seenTo: number) => {
    const s = edgeSamples({ ...PLAIN, seenTo });
    return seenOutline(s.crest, s.outlineBass, s.outlineTreble, LENGTH);
  };

  it('tells the upper half from the whole', () => {
    const half = look(0.5);
    expect(half.whole).toBe(false);
    expect(Math.max(...half.midpoints.used)).toBeLessThan(0.5 * LENGTH);
    const seen = half.crest.seen.filter(Boolean).length / half.crest.seen.length;
    expect(seen).toBeGreaterThan(0.3);
    expect(seen).toBeLessThan(0.65);
    expect(look(0.96).midpoints.asDefined).toBe(true);
  });
});
