import { describe, expect, it } from 'vitest';
import { topPatch } from '../../../src/measures/top/top-patch.ts';
import { random } from '../../../src/numerics/random.ts';
import { PointList } from '../point-list.ts';

const SIGMA = 0.05;
const height = (x: number, y: number) => 14 - 0.001 * (x - 190) ** 2 - 0.004 * y * y;

/** The top, and the inner side of a 3 mm plate; signs of the top's normals as told, those of the inner side the other way. */
function plate(topSign: 1 | -1, inner: boolean) {
  const list = new PointList(random('plate'), SIGMA);
  list.patch([160, 220], [-15, 15], 0.6, (x, y) => [
    [x, y, height(x, y)],
    [0, 0, 1],
  ]);
  if (inner)
    list.patch([160, 220], [-15, 15], 0.7, (x, y) => [
      [x, y, height(x, y) - 3],
      [0, 0, 1],
    ]);
  const cloud = list.cloud();
  for (let i = 0; i < cloud.count; i++) {
    const outer = cloud.positions[3 * i + 2] > height(cloud.positions[3 * i], cloud.positions[3 * i + 1]) - 1.5;
    cloud.normals[3 * i + 2] = Math.abs(cloud.normals[3 * i + 2]) * (outer ? topSign : -topSign);
  }
  return { ...cloud, oriented: true };
}

const middleOf = (cloud: ReturnType<typeof plate>): number => {
  const patch = topPatch(cloud, 190, 355, 1, SIGMA);
  const { xyz, count } = patch?.samples ?? { xyz: new Float64Array(0), count: 0 };
  let off = 0;
  for (let i = 0; i < count; i++) off += (xyz[3 * i + 2] - height(xyz[3 * i], xyz[3 * i + 1])) / count;
  return count === 0 ? NaN : off;
};

describe('topPatch', () => {
  it("finds the top's outer side", () => {
    expect(Math.abs(middleOf(plate(1, true)))).toBeLessThan(0.02);
  });

  // A mesh whose sheets are wound either way, the top's against most others.
  it('finds a top whose sheet is wound the other way', () => {
    expect(Math.abs(middleOf(plate(-1, false)))).toBeLessThan(0.02);
  });
});
