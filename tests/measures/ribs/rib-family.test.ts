import { describe, expect, it } from 'vitest';
import type { Cloud } from '../../../src/geometry/cloud.ts';
import { ribFamily } from '../../../src/measures/ribs/rib-family.ts';
import { random } from '../../../src/numerics/random.ts';
import { evaluated, PointList, reversed, workpieceOf } from '../point-list.ts';

const SIGMA = 0.05;
const EDGE = -4;
const UPPER = 29;
const LOWER = 31;
const OVERHANG = 2.6;

interface Parts {
  readonly back?: false;
  /** A clamp on the bass side of the lower bout, standing out of the rib and over both edges. */
  readonly clamp?: true;
}

/** Ribs with both overhangs at either end of the body, on both sides; the outline runs obliquely. */
function ribCloud(key: string, { back, clamp }: Parts = {}): Cloud {
  const list = new PointList(random(key), SIGMA);
  for (const [x0, height, turn] of [
    [0.05 * 355, UPPER, 0.9],
    [0.95 * 355, LOWER, -0.8],
  ] as const) {
    const low = EDGE - height;
    for (const side of [-1, 1] as const) {
      const rib = (x: number) => 55 + turn * (x - x0) - 0.02 * (x - x0) ** 2;
      const cosine = 1 / Math.hypot(1, turn);
      const level = (z: number, facing: number) =>
        list.patch([x0 - 7, x0 + 7], [0, OVERHANG], 0.5, (x, out) => [
          [x, side * (rib(x) + out / cosine), z],
          [0, 0, facing],
        ]);
      list.patch([x0 - 7, x0 + 7], [low, EDGE], 0.5, (x, z) =>
        back === false && z < low + 12
          ? undefined
          : [
              [x, side * rib(x), z],
              [-turn, side, 0],
            ],
      );
      level(EDGE, -1);
      if (back !== false) level(low, 1);
      if (clamp && side < 0 && x0 > 100)
        list.patch([x0 - 7, x0 + 7], [low - 5, 1], 0.5, (x, z) => [
          [x, -(rib(x) + 5), z],
          [-turn, -1, 0],
        ]);
    }
  }
  return list.cloud();
}

const gather = (cloud: Cloud) => ribFamily.gather(workpieceOf(cloud, SIGMA, 0.5));

describe('ribFamily', () => {
  it('measures the ribs between the overhangs at 5 % and 95 %', () => {
    const { values } = evaluated(gather(ribCloud('whole')));
    expect(Math.abs((values.get('ribHeightUpper') ?? NaN) - UPPER)).toBeLessThan(0.05);
    expect(Math.abs((values.get('ribHeightLower') ?? NaN) - LOWER)).toBeLessThan(0.05);
  });

  it('gives the same values whatever the order of the points', () => {
    const found = evaluated(gather(ribCloud('order'))).values;
    const turned = evaluated(gather(reversed(ribCloud('order')))).values;
    for (const id of ribFamily.ids) expect(turned.get(id)).toBeCloseTo(found.get(id) ?? NaN, 3);
  });

  it('gives no height where the back is not seen, and says so', () => {
    const found = gather(ribCloud('front', { back: false }));
    expect(evaluated(found).values.size).toBe(0);
    expect(found.absent.get('ribHeightLower')).toBe('ribs or overhangs are not seen there');
  });

  it('is not silently wrong beside a clamp', () => {
    const value = evaluated(gather(ribCloud('clamp', { clamp: true }))).values.get('ribHeightLower');
    if (value !== undefined) expect(Math.abs(value - LOWER)).toBeLessThan(0.3);
  });

  it('trusts no reading that stands alone', () => {
    const whole = ribCloud('alone');
    const keep = Array.from({ length: whole.count }, (_, i) => i).filter(
      (i) => whole.positions[3 * i] < 100 && whole.positions[3 * i + 1] > 0,
    );
    const one: Cloud = {
      ...whole,
      count: keep.length,
      positions: Float32Array.from(keep.flatMap((i) => [...whole.positions.subarray(3 * i, 3 * i + 3)])),
      normals: Float32Array.from(keep.flatMap((i) => [...whole.normals.subarray(3 * i, 3 * i + 3)])),
      areas: Float32Array.from(keep, (i) => whole.areas[i]),
    };
    expect(evaluated(gather(one)).values.size).toBe(0);
  });
});
