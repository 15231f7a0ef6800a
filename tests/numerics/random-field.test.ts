import { describe, expect, it } from 'vitest';
import { random } from '../../src/numerics/random.ts';
import { sampleField } from '../../src/numerics/random-field.ts';

const LENGTH = 20;
const DISTANCES = [0, 3, 8, 15, 20, 30, 45];
const DIRECTIONS = [
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
  [0.6, 0.8, 0],
  [1 / Math.sqrt(3), 1 / Math.sqrt(3), 1 / Math.sqrt(3)],
] as const;
/** Places three correlation lengths apart in a box: nearly independent looks at one field. */
const lattice = (nx: number, ny: number, nz: number): number[][] => {
  const places: number[][] = [];
  for (let i = 0; i < nx; i++) for (let j = 0; j < ny; j++) for (let k = 0; k < nz; k++) places.push([i, j, k].map((v) => 3 * LENGTH * v));
  return places;
};

/** Covariances at all distances in all directions, over `draws` fields, from the corners of a cube inwards. */
function covariances(correlation: 'gaussian' | 'exponential', draws: number): number[][] {
  const corners = lattice(2, 2, 2);
  const points = corners.flatMap((c) => DIRECTIONS.flatMap((d) => DISTANCES.flatMap((r) => c.map((v, k) => v + (v > 0 ? -r : r) * d[k]))));
  const sums = DIRECTIONS.map(() => DISTANCES.map(() => 0));
  const stream = random(`field ${correlation}`);
  for (let k = 0; k < draws; k++) {
    const field = sampleField(points, 1.5, LENGTH, stream, correlation);
    for (let s = 0; s < corners.length; s++) {
      for (let a = 0; a < DIRECTIONS.length; a++) {
        const base = (s * DIRECTIONS.length + a) * DISTANCES.length;
        for (let b = 0; b < DISTANCES.length; b++) sums[a][b] += field[base] * field[base + b];
      }
    }
  }
  return sums.map((row) => row.map((v) => v / (draws * corners.length * 1.5 ** 2)));
}

describe('sampleField', () => {
  it.each([
    ['gaussian', (d: number) => Math.exp(-((d / LENGTH) ** 2)), 0.002, 1000],
    ['exponential', (d: number) => Math.exp(-d / LENGTH), 0.04, 200],
  ] as const)('has the %s covariance in every direction', (correlation, expected, approximation, draws) => {
    const standardError = Math.sqrt(2 / (8 * draws));
    for (const row of covariances(correlation, draws)) {
      row.forEach((found, k) => {
        expect(Math.abs(found - expected(DISTANCES[k])), `at ${DISTANCES[k]} mm`).toBeLessThan(approximation + 4 * standardError);
      });
    }
  });

  it('has the correlation length that was asked for, within 2 %', () => {
    const at = DISTANCES.indexOf(15);
    const rows = covariances('gaussian', 3000);
    const correlation = rows.reduce((s, row) => s + row[at], 0) / rows.reduce((s, row) => s + row[0], 0);
    expect(Math.abs(15 / Math.sqrt(-Math.log(correlation)) / LENGTH - 1)).toBeLessThan(0.02);
  });

  it('has the same variance everywhere: no trace of its grid', () => {
    // Points every tenth of the grid's spacing along slanting lines; the variance is judged a tenth at a time, relative to its mean.
    const tenth = LENGTH / 2.5 / 10;
    const starts = lattice(4, 4, 3);
    const points = starts.flatMap((c) => Array.from({ length: 10 }, (_, t) => c.map((v) => v + t * tenth)).flat());
    const stream = random('stationary');
    const sums = new Float64Array(10);
    const draws = 1000;
    for (let k = 0; k < draws; k++) {
      sampleField(points, 1, LENGTH, stream).forEach((v, i) => {
        sums[i % 10] += v * v;
      });
    }
    const variance = sums.map((v) => v / (draws * starts.length));
    const mean = variance.reduce((s, v) => s + v, 0) / 10;
    for (const v of variance) expect(Math.abs(v / mean - 1)).toBeLessThan(0.02);
    expect(Math.abs(mean - 1)).toBeLessThan(4 * Math.sqrt(2 / (draws * starts.length)));
  });

  it('is normal at a point', () => {
    const points = lattice(6, 6, 5).flat();
    const draws = 100;
    const values = draws * (points.length / 3);
    const stream = random('normal field');
    let fourth = 0;
    for (let k = 0; k < draws; k++) for (const v of sampleField(points, 1, LENGTH, stream)) fourth += v ** 4;
    expect(Math.abs(fourth / values - 3)).toBeLessThan(4 * Math.sqrt(96 / values));
  });

  it('depends on the stream alone', () => {
    const points = [0, 0, 0, 10, 5, 2];
    expect(sampleField(points, 1, LENGTH, random(1))).toEqual(sampleField(points, 1, LENGTH, random(1)));
    expect([...sampleField(points, 0, LENGTH, random(1))]).toEqual([0, 0]);
    expect(sampleField([], 1, LENGTH, random(1)).length).toBe(0);
  });

  it('refuses what has no meaning', () => {
    expect(() => sampleField([0, 0, 0], -1, LENGTH, random(1))).toThrow(/amplitude/);
    expect(() => sampleField([0, 0, 0], 1, 0, random(1))).toThrow(/correlation length/);
    expect(() => sampleField([0, 0, Number.NaN], 1, 1, random(1))).toThrow(/not finite/);
    expect(() => sampleField([0, 0, 0, 1e6, 1e6, 1e6], 1, 1, random(1))).toThrow(/too short/);
    expect(() => sampleField([0, 0], 1, 1, random(1))).toThrow(/whole number of points/);
  });
});
