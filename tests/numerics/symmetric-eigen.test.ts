import { EigenvalueDecomposition, Matrix } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { random } from '../../src/numerics/random.ts';
import { symmetricEigen } from '../../src/numerics/symmetric-eigen.ts';

function symmetric(n: number, next: () => number): Float64Array {
  const a = new Float64Array(n * n);
  for (let i = 0; i < n; i++) for (let j = 0; j <= i; j++) a[i * n + j] = a[j * n + i] = next();
  return a;
}

describe('symmetricEigen', () => {
  it.each([2, 3, 4, 8])('agrees with ml-matrix for %i × %i', (n) => {
    const stream = random(`eigen ${n}`);
    for (let trial = 0; trial < 30; trial++) {
      const a = symmetric(n, () => stream.normal());
      const oracle = new EigenvalueDecomposition(Matrix.from1DArray(n, n, a), { assumeSymmetric: true }).realEigenvalues.toSorted(
        (p, q) => p - q,
      );
      const { values, vectors } = symmetricEigen(a, n);
      for (let i = 0; i < n; i++) {
        expect(values[i]).toBeCloseTo(oracle[i], 12);
        const v = vectors.subarray(i * n, (i + 1) * n);
        expect(Math.hypot(...v)).toBeCloseTo(1, 13);
        for (let r = 0; r < n; r++) {
          let av = 0;
          for (let c = 0; c < n; c++) av += a[r * n + c] * v[c];
          expect(av).toBeCloseTo(values[i] * v[r], 12);
        }
      }
    }
  });

  it('keeps small eigenvalues of graded matrices', () => {
    // Diagonal blocks of very different size: the small pair is known exactly (CALC: 1e-8 × (3 ± √5)/2 of [[1,1],[1,2]]).
    const { values } = symmetricEigen([1e-8, 1e-8, 0, 1e-8, 2e-8, 0, 0, 0, 1e8], 3);
    expect(values[0] / 1e-8).toBeCloseTo((3 - Math.sqrt(5)) / 2, 13);
    expect(values[1] / 1e-8).toBeCloseTo((3 + Math.sqrt(5)) / 2, 13);
  });

  it('takes a zero matrix, a diagonal one, and refuses what is none', () => {
    expect([...symmetricEigen(new Float64Array(9), 3).values]).toEqual([0, 0, 0]);
    expect([...symmetricEigen([3, 0, 0, 1], 2).values]).toEqual([1, 3]);
    expect(() => symmetricEigen([1, 2, 3], 2)).toThrow(/4 entries/);
    expect(() => symmetricEigen([1, 2, 2, Number.NaN], 2)).toThrow(/not finite/);
  });
});
