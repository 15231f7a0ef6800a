import { describe, expect, it } from 'vitest';
import { type OutlinePlace, tornBins } from '../../src/frame/torn-outline.ts';

const STEP = 2;
const SCATTER = 0.02;

/** A bout of 80 mm radius, bin by bin; `out` may be changed or taken away. */
function bout(changed: (bin: number) => number | undefined): OutlinePlace[] {
  return Array.from({ length: 40 }, (_, bin) => {
    const along = STEP * (bin - 20);
    const off = changed(bin);
    return off === undefined ? [] : [{ bin, along, out: Math.sqrt(80 ** 2 - along ** 2) + off, corner: false }];
  }).flat();
}

describe('torn outline', () => {
  it('leaves a whole outline as it is', () => {
    expect(
      tornBins(
        bout(() => 0),
        1,
        SCATTER,
      ).size,
    ).toBe(0);
  });

  it('leaves the sound edges of a hole', () => {
    expect(
      tornBins(
        bout((b) => (b > 18 && b < 23 ? undefined : 0)),
        1,
        SCATTER,
      ).size,
    ).toBe(0);
  });

  it('takes out what of a torn wall is left beside a hole', () => {
    const left: Readonly<Record<number, number>> = { 16: -0.7, 17: -1.5, 18: -2.1, 23: -1.8, 24: -0.6 };
    const torn = tornBins(
      bout((b) => (b > 18 && b < 23 ? undefined : (left[b] ?? 0))),
      1,
      SCATTER,
    );
    expect([...torn].sort((p, q) => p - q)).toEqual([16, 17, 18, 23, 24]);
  });

  it('takes out a hole in which another surface stands for the wall', () => {
    const torn = tornBins(
      bout((b) => (b > 17 && b < 23 ? -2.5 : 0)),
      1,
      SCATTER,
    );
    expect([...torn].sort((p, q) => p - q)).toEqual([18, 19, 20, 21, 22]);
  });

  it('leaves corners', () => {
    const places = bout((b) => (b > 17 && b < 23 ? 6 : 0)).map((p) => ({ ...p, corner: p.bin > 15 && p.bin < 25 }));
    expect(tornBins(places, 1, SCATTER).size).toBe(0);
  });
});
