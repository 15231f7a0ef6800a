import { describe, expect, it } from 'vitest';
import { SampleList, type Samples } from '../../../src/geometry/samples.ts';
import { sideGrowth } from '../../../src/measures/board/plan-side.ts';
import { random } from '../../../src/numerics/random.ts';

const PLANE = { z0: 10, slope: 0.1 };
const U = 0.02;

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

describe('growth of the height of a side face', () => {
  it('is none for a face of the same height throughout', () => {
    expect(sideGrowth([sideOf(5, 0), sideOf(5, 0)], PLANE, 1)).toBe(0);
  });

  it('is seen for a wedge, as its lean tells it', () => {
    const found = sideGrowth([sideOf(6, 0.0045), sideOf(6, 0.0045)], PLANE, 1);
    expect(Math.abs(found - 0.0045)).toBeLessThan(0.0011 /* 1/mm: between two of the growths that are tried */);
  });

  it('is none where no side is seen', () => {
    expect(sideGrowth([undefined, undefined], PLANE, 1)).toBe(0);
  });
});
