/**
 * R factor and Qᵀy of a dense m × n matrix (row-major, m ≥ n) by Householder reflections, in place: afterwards the upper triangle of `a` is R
 * and the first n entries of `y` are those of Qᵀy; Σ of the squares of the rest of `y` is the residual sum of squares.
 *
 * @see Golub & Van Loan, Matrix Computations, algorithm 5.2.1
 */
export function householderInPlace(a: Float64Array, m: number, n: number, y: Float64Array): void {
  for (let j = 0; j < n; j++) {
    let norm2 = 0;
    for (let i = j; i < m; i++) norm2 += a[i * n + j] * a[i * n + j];
    const head = a[j * n + j];
    const alpha = head > 0 ? -Math.sqrt(norm2) : Math.sqrt(norm2);
    // The reflector v is the column itself with its head replaced; vᵀv / 2 = norm2 − alpha · head.
    const half = norm2 - alpha * head;
    if (!(half > 0)) continue;
    a[j * n + j] = head - alpha;
    for (let k = j + 1; k < n; k++) {
      let s = 0;
      for (let i = j; i < m; i++) s += a[i * n + j] * a[i * n + k];
      s /= half;
      for (let i = j; i < m; i++) a[i * n + k] -= s * a[i * n + j];
    }
    let s = 0;
    for (let i = j; i < m; i++) s += a[i * n + j] * y[i];
    s /= half;
    for (let i = j; i < m; i++) y[i] -= s * a[i * n + j];
    a[j * n + j] = alpha;
  }
}

/** Solves R x = b for the upper triangle that `householderInPlace` left. */
export function backSubstitute(r: Float64Array, n: number, b: ArrayLike<number>): Float64Array {
  const x = new Float64Array(n);
  for (let i = n - 1; i >= 0; i--) {
    let s = b[i];
    for (let k = i + 1; k < n; k++) s -= r[i * n + k] * x[k];
    x[i] = s / r[i * n + i];
  }
  return x;
}

/** (RᵀR)⁻¹ = R⁻¹R⁻ᵀ, full symmetric n × n, row-major. */
export function inverseGram(r: Float64Array, n: number): Float64Array {
  const inverse = new Float64Array(n * n);
  const e = new Float64Array(n);
  for (let j = 0; j < n; j++) {
    e.fill(0);
    e[j] = 1;
    const column = backSubstitute(r, n, e);
    for (let i = 0; i < n; i++) inverse[i * n + j] = column[i];
  }
  const gram = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let s = 0;
      for (let k = i; k < n; k++) s += inverse[i * n + k] * inverse[j * n + k];
      gram[i * n + j] = s;
      gram[j * n + i] = s;
    }
  }
  return gram;
}
