export interface SymmetricEigen {
  /** n eigenvalues, ascending. */
  readonly values: Float64Array;
  /** n × n row-major: row i is the unit eigenvector of `values[i]`. */
  readonly vectors: Float64Array;
}

/** Sweeps after which Jacobi has always converged for the small matrices used here (six suffice in practice). */
const MOST_SWEEPS = 60;

/**
 * Eigenvalues and vectors of a small symmetric n × n matrix (row-major, only the upper triangle is read) by cyclic Jacobi rotations.
 *
 * @throws {RangeError} a matrix that is not n × n or holds a value that is not finite
 * @see Golub & Van Loan, Matrix Computations, section 8.5
 */
export function symmetricEigen(matrix: ArrayLike<number>, n: number): SymmetricEigen {
  if (matrix.length !== n * n) throw new RangeError(`a ${n} × ${n} matrix has ${n * n} entries, ${matrix.length} given`);
  const a = Float64Array.from(matrix);
  for (let i = 0; i < n; i++) for (let j = 0; j < i; j++) a[i * n + j] = a[j * n + i];
  for (let i = 0; i < n * n; i++)
    if (!Number.isFinite(a[i])) throw new RangeError('a matrix for eigenvalues holds a value that is not finite');
  const v = new Float64Array(n * n);
  for (let i = 0; i < n; i++) v[i * n + i] = 1;
  for (let sweep = 0; sweep < MOST_SWEEPS; sweep++) {
    let rotated = false;
    for (let p = 0; p < n - 1; p++) for (let q = p + 1; q < n; q++) if (rotate(a, v, n, p, q)) rotated = true;
    if (!rotated) break;
  }
  return sorted(a, v, n);
}

/** Makes a[p][q] zero; rows of `v` turn along. Returns false where the entry is already below rounding. */
function rotate(a: Float64Array, v: Float64Array, n: number, p: number, q: number): boolean {
  const apq = a[p * n + q];
  const app = a[p * n + p];
  const aqq = a[q * n + q];
  if (Math.abs(apq) <= Number.EPSILON * 0.5 * Math.sqrt(Math.abs(app) * Math.abs(aqq)) || apq === 0) return false;
  const theta = (aqq - app) / (2 * apq);
  const t = (theta >= 0 ? 1 : -1) / (Math.abs(theta) + Math.sqrt(theta * theta + 1));
  const c = 1 / Math.sqrt(t * t + 1);
  const s = t * c;
  for (let k = 0; k < n; k++) {
    if (k === p || k === q) continue;
    const akp = a[k * n + p];
    const akq = a[k * n + q];
    a[k * n + p] = c * akp - s * akq;
    a[p * n + k] = a[k * n + p];
    a[k * n + q] = s * akp + c * akq;
    a[q * n + k] = a[k * n + q];
  }
  a[p * n + p] = app - t * apq;
  a[q * n + q] = aqq + t * apq;
  a[p * n + q] = 0;
  a[q * n + p] = 0;
  for (let k = 0; k < n; k++) {
    const vp = v[p * n + k];
    const vq = v[q * n + k];
    v[p * n + k] = c * vp - s * vq;
    v[q * n + k] = s * vp + c * vq;
  }
  return true;
}

function sorted(a: Float64Array, v: Float64Array, n: number): SymmetricEigen {
  const order = Array.from({ length: n }, (_, i) => i).sort((i, j) => a[i * n + i] - a[j * n + j]);
  const values = new Float64Array(n);
  const vectors = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    values[i] = a[order[i] * n + order[i]];
    for (let k = 0; k < n; k++) vectors[i * n + k] = v[order[i] * n + k];
  }
  return { values, vectors };
}
