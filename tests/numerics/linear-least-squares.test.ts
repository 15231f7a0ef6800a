import { readFileSync } from 'node:fs';
import { Matrix, SVD } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { linearLeastSquares } from '../../src/numerics/linear-least-squares.ts';
import { NormalEquations } from '../../src/numerics/normal-equations.ts';
import { random } from '../../src/numerics/random.ts';

interface Certified {
  readonly columns?: number;
  readonly design?: number[];
  readonly x?: number[];
  readonly y: number[];
  readonly coefficients: number[];
  readonly sd: number[];
  readonly rss?: number;
  readonly residualSd?: number;
}

// NIST StRD linear regression (READ; see tests/data/reference/README.md).
const strd = JSON.parse(readFileSync(new URL('../data/reference/strd-linear.json', import.meta.url), 'utf8')) as Record<string, Certified>;

const powers = (x: readonly number[], degree: number): number[] => x.flatMap((v) => Array.from({ length: degree + 1 }, (_, k) => v ** k));
const digits = (found: number, certified: number): number => -Math.log10(Math.abs(found - certified) / Math.abs(certified) + 1e-17);

function expectDigits(found: ArrayLike<number>, certified: readonly number[], atLeast: number): void {
  certified.forEach((c, j) => {
    expect(digits(found[j], c), `value ${j}`).toBeGreaterThan(atLeast);
  });
}

describe('linearLeastSquares: certified regressions', () => {
  it('Norris', () => {
    const { x, y, coefficients, sd, residualSd } = strd.norris;
    const fit = linearLeastSquares(powers(x ?? [], 1), 2, y);
    expectDigits(fit.coefficients, coefficients, 12);
    expectDigits(
      [0, 3].map((k) => Math.sqrt(fit.covariance[k])),
      sd,
      12,
    );
    expect(digits(Math.sqrt(fit.rss / fit.dof), residualSd ?? 0)).toBeGreaterThan(12);
  });

  it('Longley (columns nearly dependent)', () => {
    const { design, y, coefficients, sd, rss } = strd.longley;
    const fit = linearLeastSquares(design ?? [], 7, y);
    expectDigits(fit.coefficients, coefficients, 8);
    expectDigits(
      Array.from({ length: 7 }, (_, k) => Math.sqrt(fit.covariance[8 * k])),
      sd,
      8,
    );
    expect(digits(fit.rss, rss ?? 0)).toBeGreaterThan(9);
  });

  it('Filip (tenth degree in powers of x: the hardest of the collection)', () => {
    const { x, y, coefficients, sd, rss } = strd.filip;
    const fit = linearLeastSquares(powers(x ?? [], 10), 11, y);
    expectDigits(fit.coefficients, coefficients, 6);
    expectDigits(
      Array.from({ length: 11 }, (_, k) => Math.sqrt(fit.covariance[12 * k])),
      sd,
      6,
    );
    expect(digits(fit.rss, rss ?? 0)).toBeGreaterThan(6);
  });
});

describe('linearLeastSquares', () => {
  const stream = random('linear least squares');
  const rows = 40;
  const columns = 5;
  const design = Float64Array.from({ length: rows * columns }, () => stream.normal());
  const y = Float64Array.from({ length: rows }, () => stream.normal());
  const weights = Float64Array.from({ length: rows }, () => 0.1 + stream.uniform());

  it('agrees with the singular value decomposition of ml-matrix, weights included', () => {
    const root = weights.map(Math.sqrt);
    const a = Matrix.from1DArray(
      rows,
      columns,
      Array.from(design, (v, i) => v * root[Math.floor(i / columns)]),
    );
    const b = Matrix.columnVector(Array.from(y, (v, i) => v * root[i]));
    const oracle = new SVD(a).solve(b).to1DArray();
    const inverse = new SVD(a.transpose().mmul(a)).inverse().to1DArray();
    const fit = linearLeastSquares(design, columns, y, weights);
    for (let j = 0; j < columns; j++) expect(fit.coefficients[j]).toBeCloseTo(oracle[j], 12);
    for (let k = 0; k < columns * columns; k++) expect(fit.cofactor[k]).toBeCloseTo(inverse[k], 12);
  });

  it('gives the same from rows that are not kept', () => {
    const equations = new NormalEquations(columns);
    for (let i = 0; i < rows; i++) equations.add(design.subarray(i * columns, (i + 1) * columns), y[i], weights[i]);
    const kept = linearLeastSquares(design, columns, y, weights);
    const found = equations.solve();
    for (let j = 0; j < columns; j++) expect(found.coefficients[j]).toBeCloseTo(kept.coefficients[j], 12);
    expect(found.rss).toBeCloseTo(kept.rss, 10);
    expect(found.dof).toBe(kept.dof);
  });

  it('does not mind the unit of a column', () => {
    const scaled = design.map((v, i) => (i % columns === 2 ? v * 1e9 : v));
    const fit = linearLeastSquares(design, columns, y);
    const other = linearLeastSquares(scaled, columns, y);
    expect(other.coefficients[2] * 1e9).toBeCloseTo(fit.coefficients[2], 12);
    expect(other.rss).toBeCloseTo(fit.rss, 12);
  });

  it('leaves rows of weight zero out of the degrees of freedom', () => {
    const some = weights.map((w, i) => (i % 4 === 0 ? 0 : w));
    expect(linearLeastSquares(design, columns, y, some).dof).toBe(30 - columns);
  });

  it('has an unbounded covariance when no degree of freedom is left', () => {
    const fit = linearLeastSquares([1, 0, 1, 1], 2, [1, 3]);
    expect([...fit.coefficients]).toEqual([1, 2]);
    expect(fit.covariance[0]).toBe(Number.POSITIVE_INFINITY);
  });

  it('refuses misuse, each with its reason', () => {
    expect(() => linearLeastSquares([1, 2, 3], 2, [1, 2])).toThrow(/4 entries, 3 given/);
    expect(() => linearLeastSquares([1, 2], 2, [1])).toThrow(/at least 2 rows/);
    expect(() => linearLeastSquares([1, 2, 2, 4, 3, 6], 2, [1, 2, 3])).toThrow(/column 1 of the design is a combination/);
    expect(() => linearLeastSquares([1, 0, 1, 0], 2, [1, 2])).toThrow(/column 1 of the design is zero/);
    expect(() => linearLeastSquares([1, Number.NaN], 1, [1, 2])).toThrow(/not finite/);
    expect(() => linearLeastSquares([1, 1], 1, [1, Number.POSITIVE_INFINITY])).toThrow(/not finite/);
    expect(() => linearLeastSquares([1, 1], 1, [1, 2], [1, -1])).toThrow(/zero or more/);
    const dependent = new NormalEquations(2);
    for (const v of [1, 2, 3]) dependent.add([v, 2 * v], v);
    expect(() => dependent.solve()).toThrow(/depend on each other/);
  });
});
