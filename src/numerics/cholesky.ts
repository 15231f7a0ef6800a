/**
 * Cholesky factor of a symmetric positive definite n × n matrix (row-major): A = L Lᵀ, in place in the lower triangle.
 *
 * @returns the smallest pivot met (before its root); the factor is unfinished when it is ≤ `smallest`
 */
export function choleskyInPlace(a: Float64Array, n: number, smallest: number): number {
  let least = Number.POSITIVE_INFINITY;
  for (let j = 0; j < n; j++) {
    let d = a[j * n + j];
    for (let k = 0; k < j; k++) d -= a[j * n + k] * a[j * n + k];
    if (!(d > least)) least = d;
    if (!(d > smallest)) return d;
    const root = Math.sqrt(d);
    a[j * n + j] = root;
    for (let i = j + 1; i < n; i++) {
      let s = a[i * n + j];
      for (let k = 0; k < j; k++) s -= a[i * n + k] * a[j * n + k];
      a[i * n + j] = s / root;
    }
  }
  return least;
}

/** Solves L Lᵀ x = b for the factor that `choleskyInPlace` left. */
export function choleskySolve(l: Float64Array, n: number, b: ArrayLike<number>): Float64Array {
  const x = Float64Array.from(b);
  for (let i = 0; i < n; i++) {
    let s = x[i];
    for (let k = 0; k < i; k++) s -= l[i * n + k] * x[k];
    x[i] = s / l[i * n + i];
  }
  for (let i = n - 1; i >= 0; i--) {
    let s = x[i];
    for (let k = i + 1; k < n; k++) s -= l[k * n + i] * x[k];
    x[i] = s / l[i * n + i];
  }
  return x;
}

/** Inverse of L Lᵀ, full symmetric n × n, row-major. */
export function choleskyInverse(l: Float64Array, n: number): Float64Array {
  const inverse = new Float64Array(n * n);
  const e = new Float64Array(n);
  for (let j = 0; j < n; j++) {
    e.fill(0);
    e[j] = 1;
    const column = choleskySolve(l, n, e);
    for (let i = 0; i < n; i++) inverse[i * n + j] = column[i];
  }
  for (let i = 0; i < n; i++) for (let j = 0; j < i; j++) inverse[i * n + j] = inverse[j * n + i];
  return inverse;
}
