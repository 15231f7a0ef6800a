import { describe, expect, it } from 'vitest';
import { outlineBesideSaddle } from '../../src/frame/outline-beside-saddle.ts';
import type { RimStation } from '../../src/frame/rim-stations.ts';
import { tailDoubt } from '../../src/frame/tail-doubt.ts';
import { tailEnd } from '../../src/frame/tail-end.ts';
import { identity } from '../../src/geometry/motion.ts';

const LENGTH = 355;

/** An arc of the lower bout that ends at x = 355, its sides not quite alike. */
const outline = (y: number): number => LENGTH - y * y * (y < 0 ? 0.0031 : 0.0034) - 2e-8 * y ** 4;

/** Stations every 1.6 mm outside a saddle of 35 mm; `out` moves the outline outwards at y. */
function stations(out: (y: number) => number): RimStation[] {
  const rows: RimStation[] = [];
  for (let k = 0; k < 34; k++)
    for (const side of [-1, 1] as const) {
      const y = side * (21 + 1.6 * k);
      rows.push({
        bin: 200 - k,
        side,
        x: outline(y) + out(y),
        y,
        z: -2,
        outlineU: 0.02,
        nx: 1,
        ny: 0,
        crestX: NaN,
        crestY: NaN,
        crestZ: NaN,
        crestU: NaN,
        corner: false,
        channel: true,
      });
    }
  return rows;
}

/** A post of a clamp: 5 mm thick, up to 5 mm outside the outline. */
const post = (y: number, at: number): number => Math.max(0, 5 - (y - at) ** 2 / 2.5);

const endOf = (out: (y: number) => number) => {
  const beside = outlineBesideSaddle(stations(out), LENGTH);
  return { x: tailEnd(beside, identity(), LENGTH), doubt: tailDoubt(beside, LENGTH), count: beside.count };
};

describe('tail end behind a saddle', () => {
  const bare = endOf(() => 0);

  it('continues the outline across the saddle', () => {
    expect(bare.x).toBeCloseTo(LENGTH, 1);
    expect(bare.doubt).toBeLessThan(0.05);
  });

  it('is not carried off by the posts of a chin rest on both sides of the tailgut', () => {
    const found = endOf((y) => post(y, -29) + post(y, 28));
    expect(Math.abs((found.x ?? NaN) - LENGTH)).toBeLessThan(0.3);
    expect(found.count).toBeLessThan(bare.count - 8);
    expect(found.doubt).toBeGreaterThan(bare.doubt);
  });

  it('is not carried off by two posts of one side', () => {
    const found = endOf((y) => post(y, -46) + post(y, -66));
    expect(Math.abs((found.x ?? NaN) - LENGTH)).toBeLessThan(0.3);
  });

  it('says nothing when one side is all but hidden', () => {
    expect(
      tailEnd(
        outlineBesideSaddle(
          stations(() => 0).filter((s) => s.y > 0),
          LENGTH,
        ),
        identity(),
        LENGTH,
      ),
    ).toBeUndefined();
  });
});
