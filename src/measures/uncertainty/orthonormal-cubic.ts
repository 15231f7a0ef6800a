/** Terms of a cubic in two coordinates. */
export const CUBIC_TERMS = 10;
/** A column that this share of its length is left of hangs on the others: points on a line or a few rows. */
const DEPENDENT = 1e-6;

export interface OrthonormalCubic {
  /** n × 10, row-major. */
  readonly columns: Float64Array;
  /** What of n values the best cubic does not explain. */
  residual(values: Float64Array): Float64Array;
}

/**
 * Orthonormal columns that span all cubics in (u, v) at n points, by modified Gram–Schmidt on coordinates scaled to order one.
 *
 * @returns undefined where the points do not carry a cubic
 */
export function orthonormalCubic(u: Float64Array, v: Float64Array): OrthonormalCubic | undefined {
  const n = u.length;
  let reach = 0;
  for (let i = 0; i < n; i++) reach = Math.max(reach, Math.abs(u[i]), Math.abs(v[i]));
  const columns = new Float64Array(n * CUBIC_TERMS);
  for (let i = 0; i < n; i++) {
    const a = u[i] / reach;
    const b = v[i] / reach;
    columns.set([1, a, b, a * a, a * b, b * b, a * a * a, a * a * b, a * b * b, b * b * b], CUBIC_TERMS * i);
  }
  for (let k = 0; k < CUBIC_TERMS; k++) {
    const before = lengthOf(columns, k);
    for (let j = 0; j < k; j++) {
      let dot = 0;
      for (let i = 0; i < columns.length; i += CUBIC_TERMS) dot += columns[i + j] * columns[i + k];
      for (let i = 0; i < columns.length; i += CUBIC_TERMS) columns[i + k] -= dot * columns[i + j];
    }
    const left = lengthOf(columns, k);
    if (!(left > DEPENDENT * before)) return undefined;
    for (let i = k; i < columns.length; i += CUBIC_TERMS) columns[i] /= left;
  }
  return { columns, residual: (values) => residual(columns, values) };
}

function lengthOf(columns: Float64Array, k: number): number {
  let squares = 0;
  for (let i = k; i < columns.length; i += CUBIC_TERMS) squares += columns[i] * columns[i];
  return Math.sqrt(squares);
}

function residual(columns: Float64Array, values: Float64Array): Float64Array {
  const left = values.slice();
  for (let k = 0; k < CUBIC_TERMS; k++) {
    let dot = 0;
    for (let i = 0; i < left.length; i++) dot += columns[CUBIC_TERMS * i + k] * left[i];
    for (let i = 0; i < left.length; i++) left[i] -= dot * columns[CUBIC_TERMS * i + k];
  }
  return left;
}
