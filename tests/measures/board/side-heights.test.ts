import { describe, expect, it } from 'vitest';
import { SampleList, type Samples } from '../../../src/geometry/samples.ts';
import { sideHeights } from '../../../src/measures/board/side-heights.ts';
import { random } from '../../../src/numerics/random.ts';

const PLANE = { z0: 10, slope: 0.1 };
const U = 0.02;
const BOARD = { from: -122, to: 82 };

/** A board's side face between two straight arrises 0.6 mm apart in plan: `height` at the joint, growing by `growth` a mm. */
function sideOf(height: number, growth: number): Samples {
  const stream = random(`side ${height} ${growth}`);
  const list = new SampleList();
  for (let x = -120; x <= 80; x += 5) {
    for (let depth = 2; depth <= 4; depth += 0.5) {
      const y = 14 + 0.04 * x - (0.6 * depth) / (height * (1 + growth * x)) + U * stream.normal();
      list.add(x, y, PLANE.z0 + PLANE.slope * x - depth, 0, 1, 0, U, 1);
    }
  }
  return list.samples();
}

/** Of both sides, with arrises that follow the plane. */
const growthOf = (bass: Samples | undefined, treble: Samples | undefined): number =>
  sideHeights(
    [bass, treble].map((samples) => ({ samples, dip: () => 0, straightTo: Number.POSITIVE_INFINITY })),
    PLANE,
    1,
    BOARD,
  )[0].share(100) /
    100 -
  0.01;

describe('growth of the height of a side face', () => {
  it('is none for a face of the same height throughout', () => {
    expect(growthOf(sideOf(5, 0), sideOf(5, 0))).toBe(0);
  });

  it('is seen for a wedge, as its lean tells it', () => {
    const found = growthOf(sideOf(6, 0.0045), sideOf(6, 0.0045));
    expect(Math.abs(found - 0.0045)).toBeLessThan(0.0011 /* 1/mm: between two of the growths that are tried */);
  });

  it('is none where no side is seen', () => {
    expect(growthOf(undefined, undefined)).toBe(0);
  });

  it('is none for a face that follows a hollow arris: there the dip explains what leans', () => {
    const dip = (x: number): number => 1.5 * (1 - ((x + 20) / 100) ** 2);
    const list = new SampleList();
    const stream = random('dipping side');
    for (let x = -120; x <= 80; x += 5)
      for (let depth = 2; depth <= 4; depth += 0.5)
        list.add(x, 14 + 0.04 * x - 0.12 * depth + U * stream.normal(), PLANE.z0 + PLANE.slope * x - dip(x) - depth, 0, 1, 0, U, 1);
    const [heights] = sideHeights([{ samples: list.samples(), dip, straightTo: Number.POSITIVE_INFINITY }], PLANE, 1, BOARD);
    expect(heights.share(-100)).toBe(1);
    expect(heights.dip(-20)).toBe(1.5);
  });
});
