import { describe, expect, it } from 'vitest';
import { noisePatches } from '../../../src/measures/uncertainty/noise-patches.ts';
import { shortWave } from '../../../src/measures/uncertainty/short-wave.ts';
import { sharedByNeighbours } from '../../../src/measures/uncertainty/shared-by-neighbours.ts';
import { random } from '../../../src/numerics/random.ts';
import { noisySheet, type SheetNoise } from './noisy-sheet.ts';

const SPACING = 0.8;

/** What is told of the noise of an arched sheet the size of a violin's top. */
function told(noise: SheetNoise, key: string) {
  const arch = {
    from: [0, -70],
    to: [355, 70],
    spacing: SPACING,
    height: (x: number, y: number) => 15 - (x - 170) ** 2 / 3000 - (y * y) / 500,
  } as const;
  return shortWave(noisePatches(noisySheet(arch, noise, random(key)), 355), SPACING);
}

describe('the noise of neighbouring points', () => {
  it.each(['one', 'two', 'three', 'four'])('is told to be independent where it is (%s)', (key) => {
    const found = told({ white: 0.05, amplitude: 0, length: 3 }, key);
    expect(found?.amplitude).toBe(0);
    expect(Math.abs((found?.white ?? 0) / 0.05 - 1)).toBeLessThan(0.03 /* 4 ÷ √(2 n) of some 5000 points */);
  });

  it("is not taken from waves longer than a patch: those are the long-wave prior's", () => {
    expect(told({ white: 0.05, amplitude: 0.03, length: 50 }, 'long')?.amplitude).toBe(0);
  });

  // Steps of length are a factor of 1.4 apart; the shared variance is told to some per cent.
  it.each([
    [0.03, 0.03, 2],
    [0.02, 0.04, 3],
    [0.03, 0.03, 4],
    [0.05, 0.03, 1.5],
  ])('white %d mm and shared %d mm over %d mm are told apart', (white, amplitude, length) => {
    const found = told({ white, amplitude, length }, `short ${length}`);
    expect(Math.abs((found?.white ?? 0) / white - 1)).toBeLessThan(0.25);
    expect(Math.abs((found?.amplitude ?? 0) / amplitude - 1)).toBeLessThan(0.2);
    expect(Math.abs((found?.length ?? 0) / length - 1)).toBeLessThan(0.3);
    // What averages hang on: the spectral density at long waves.
    const density = ((found?.amplitude ?? 0) * (found?.length ?? 0)) / (amplitude * length);
    expect(Math.abs(density - 1)).toBeLessThan(0.25);
  });

  it('nothing is told of a scan without a smooth piece', () => {
    const rough = {
      from: [0, 0],
      to: [14, 14],
      spacing: SPACING,
      height: (x: number, y: number) => 2 * Math.sin(3 * x) * Math.cos(4 * y),
    } as const;
    const cloud = noisySheet(rough, { white: 0.03, amplitude: 0, length: 1 }, random('rough'));
    expect(shortWave(noisePatches(cloud, 355), SPACING)).toBeUndefined();
    expect(sharedByNeighbours({ sigma: 0.05, stretch: 1, thinned: 0, facets: 0, longWave: {} }, 1000, 1)).toEqual({});
  });

  it('leaves fewer independent points', () => {
    const noise = {
      sigma: 0.05,
      stretch: 1,
      thinned: 0,
      facets: 0,
      longWave: {},
      points: { white: 0.04, amplitude: 0.03, length: 3, spacing: 1 },
    };
    // CALC: share 0.36; 0.36 · π · 9 = 10.18 further points count as one with each.
    expect(sharedByNeighbours(noise, 100_000, 1)).toEqual({
      correlatedNoise: 0.03,
      correlationLength: 3,
      effectivePoints: Math.round(100_000 / (1 + 0.36 * Math.PI * 9)),
    });
    expect(sharedByNeighbours({ ...noise, points: { ...noise.points, amplitude: 0, length: 0 } }, 100_000, 1)).toMatchObject({
      correlatedNoise: 0,
      effectivePoints: 100_000,
    });
  });
});
