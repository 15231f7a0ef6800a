import { choleskyInPlace, choleskyInverse, choleskySolve } from './cholesky.ts';
import { backSubstitute, householderInPlace, inverseGram } from './householder-qr.ts';
import { NormalEquations } from './normal-equations.ts';

export interface LinearFit {
  /** p coefficients. */
  readonly coefficients: Float64Array;
  /** p × p row-major, (XᵀWX)⁻¹: the covariance when the weights are 1/u² with u known. */
  readonly cofactor: Float64Array;
  /** p × p row-major, cofactor × rss / dof: the covariance when the noise is judged from the residuals. Its diagonal is infinite when dof is 0. */
  readonly covariance: Float64Array;
  /** Weighted residual sum of squares. */
  readonly rss: number;
  /** Rows that count (weight > 0) minus columns. */
  readonly dof: number;
}

/**
 * Pivot of the scaled normal matrix (1 − R² of a column on those before it) below which Cholesky would lose more than half of the digits:
 * from here on the design itself is factored.
 */
const CHOLESKY_PIVOT = 1e-7;
/** Diagonal of R relative to its column's length below which a column is a combination of the others: about 40 roundings. */
const RANK_TOLERANCE = 1e-14;

/**
 * Weighted linear least squares: minimises Σ wᵢ (yᵢ − Σⱼ Xᵢⱼ bⱼ)². Columns are scaled to unit length first; normal equations with one step of
 * refinement when they are well conditioned, Householder QR otherwise.
 *
 * @param design  rows × columns, row-major; any units
 * @param y  one value a row
 * @param weights  one a row, ≥ 0, as 1/u² up to a factor; without them all rows weigh the same
 * @throws {RangeError} sizes that do not match, fewer rows than columns, a value that is not finite, a negative weight,
 *         columns that depend on each other
 */
export function linearLeastSquares(
  design: ArrayLike<number>,
  columns: number,
  y: ArrayLike<number>,
  weights?: ArrayLike<number>,
): LinearFit {
  const rows = y.length;
  checkShape(design, columns, rows, weights);
  const equations = new NormalEquations(columns);
  equations.addAll(design, y, weights);
  const dof = equations.rows - columns;
  if (dof < 0) throw new RangeError(`a fit of ${columns} coefficients needs at least ${columns} rows with weight, ${equations.rows} given`);
  const scaled = equations.scaled();
  const pivot = choleskyInPlace(scaled.matrix, columns, CHOLESKY_PIVOT);
  if (!(pivot > CHOLESKY_PIVOT)) return byHouseholder(design, columns, y, weights, scaled.lengths, dof);
  const coefficients = unscale(choleskySolve(scaled.matrix, columns, scaled.right), scaled.lengths);
  const rss = refine(design, columns, y, weights, scaled.matrix, scaled.lengths, coefficients);
  return asFit(coefficients, unscaleMatrix(choleskyInverse(scaled.matrix, columns), scaled.lengths), rss, dof);
}

function checkShape(design: ArrayLike<number>, columns: number, rows: number, weights: ArrayLike<number> | undefined): void {
  if (!(Number.isInteger(columns) && columns > 0)) throw new RangeError(`a fit needs at least one column, not ${columns}`);
  if (design.length !== rows * columns) {
    throw new RangeError(`a design of ${rows} rows × ${columns} columns has ${rows * columns} entries, ${design.length} given`);
  }
  if (weights !== undefined && weights.length !== rows) throw new RangeError(`${rows} rows need ${rows} weights, ${weights.length} given`);
}

function byHouseholder(
  design: ArrayLike<number>,
  columns: number,
  y: ArrayLike<number>,
  weights: ArrayLike<number> | undefined,
  lengths: Float64Array,
  dof: number,
): LinearFit {
  const rows = y.length;
  const a = new Float64Array(rows * columns);
  const right = new Float64Array(rows);
  for (let i = 0; i < rows; i++) {
    const root = weights === undefined ? 1 : Math.sqrt(weights[i]);
    for (let j = 0; j < columns; j++) a[i * columns + j] = (root * design[i * columns + j]) / lengths[j];
    right[i] = root * y[i];
  }
  householderInPlace(a, rows, columns, right);
  for (let j = 0; j < columns; j++) {
    if (!(Math.abs(a[j * columns + j]) > RANK_TOLERANCE)) {
      throw new RangeError(`column ${j} of the design is a combination of the columns before it: the fit has no single answer`);
    }
  }
  let rss = 0;
  for (let i = columns; i < rows; i++) rss += right[i] * right[i];
  const coefficients = unscale(backSubstitute(a, columns, right), lengths);
  return asFit(coefficients, unscaleMatrix(inverseGram(a, columns), lengths), rss, dof);
}

/**
 * One step of iterative refinement: the residuals' own normal equations are solved for a correction of the coefficients.
 *
 * @returns weighted residual sum of squares after it
 */
function refine(
  design: ArrayLike<number>,
  columns: number,
  y: ArrayLike<number>,
  weights: ArrayLike<number> | undefined,
  factor: Float64Array,
  lengths: Float64Array,
  coefficients: Float64Array,
): number {
  const gradient = new Float64Array(columns);
  let rss = 0;
  for (let i = 0; i < y.length; i++) {
    const base = i * columns;
    let r = y[i];
    for (let j = 0; j < columns; j++) r -= design[base + j] * coefficients[j];
    const wr = weights === undefined ? r : weights[i] * r;
    rss += wr * r;
    for (let j = 0; j < columns; j++) gradient[j] += design[base + j] * wr;
  }
  for (let j = 0; j < columns; j++) gradient[j] /= lengths[j];
  const step = choleskySolve(factor, columns, gradient);
  for (let j = 0; j < columns; j++) {
    coefficients[j] += step[j] / lengths[j];
    rss -= step[j] * gradient[j];
  }
  return Math.max(0, rss);
}

function unscale(scaled: Float64Array, lengths: Float64Array): Float64Array {
  for (let j = 0; j < scaled.length; j++) scaled[j] /= lengths[j];
  return scaled;
}

function unscaleMatrix(scaled: Float64Array, lengths: Float64Array): Float64Array {
  const n = lengths.length;
  for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) scaled[i * n + j] /= lengths[i] * lengths[j];
  return scaled;
}

function asFit(coefficients: Float64Array, cofactor: Float64Array, rss: number, dof: number): LinearFit {
  return { coefficients, cofactor, covariance: scaleByResiduals(cofactor, coefficients.length, rss, dof), rss, dof };
}

/** cofactor × rss / dof; without degrees of freedom nothing tells the noise, so every coefficient is uncertain without bound. */
function scaleByResiduals(cofactor: Float64Array, columns: number, rss: number, dof: number): Float64Array {
  if (dof > 0) return cofactor.map((c) => (c * rss) / dof);
  const unbounded = new Float64Array(columns * columns);
  for (let j = 0; j < columns; j++) unbounded[j * columns + j] = Number.POSITIVE_INFINITY;
  return unbounded;
}
