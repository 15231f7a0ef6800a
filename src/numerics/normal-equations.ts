import { choleskyInPlace, choleskyInverse, choleskySolve } from './cholesky.ts';

/** Coefficients of a fit whose rows were not kept. */
export interface AccumulatedFit {
  readonly coefficients: Float64Array;
  /** p × p row-major, (XᵀWX)⁻¹: the covariance when the weights are 1/u² with u known. */
  readonly cofactor: Float64Array;
  /** Weighted residual sum of squares, by difference: no better than about 1e-15 of Σ w y². */
  readonly rss: number;
  readonly dof: number;
}

/** Pivot of the scaled normal matrix below which a column counts as a combination of others: the rounding of its sums is about 1e-15. */
const RANK_PIVOT = 1e-13;

/** Linear least squares whose rows arrive one by one and are not kept. For rows at hand `linearLeastSquares` is more accurate. */
export class NormalEquations {
  /** Rows with weight above zero so far. */
  rows = 0;
  private readonly columns: number;
  /** Lower triangle of XᵀWX, n × n row-major. */
  private readonly gram: Float64Array;
  private readonly right: Float64Array;
  private squares = 0;

  constructor(columns: number) {
    this.columns = columns;
    this.gram = new Float64Array(columns * columns);
    this.right = new Float64Array(columns);
  }

  /**
   * @param row  one value a column
   * @param weight  1/u² up to a factor
   * @throws {RangeError} a negative weight
   */
  add(row: ArrayLike<number>, y: number, weight = 1): void {
    this.accumulate(row, 0, y, weight);
  }

  /** All rows of a row-major design at once. */
  addAll(design: ArrayLike<number>, y: ArrayLike<number>, weights?: ArrayLike<number>): void {
    for (let i = 0; i < y.length; i++) this.accumulate(design, i * this.columns, y[i], weights === undefined ? 1 : weights[i]);
  }

  private accumulate(source: ArrayLike<number>, base: number, y: number, weight: number): void {
    if (!(weight >= 0)) throw new RangeError(`a weight must be zero or more, not ${weight}`);
    if (weight === 0) return;
    const n = this.columns;
    const gram = this.gram;
    const right = this.right;
    for (let i = 0; i < n; i++) {
      const wx = weight * source[base + i];
      const row = i * n;
      for (let j = 0; j <= i; j++) gram[row + j] += wx * source[base + j];
      right[i] += wx * y;
    }
    this.squares += weight * y * y;
    this.rows++;
  }

  /**
   * The equations with columns of unit length: `matrix` n × n (both triangles), `right`, and the `lengths` taken out.
   *
   * @throws {RangeError} a column of zeros, or a value that is not finite
   */
  scaled(): { matrix: Float64Array; right: Float64Array; lengths: Float64Array } {
    const n = this.columns;
    const lengths = new Float64Array(n);
    for (let j = 0; j < n; j++) {
      lengths[j] = Math.sqrt(this.gram[j * n + j]);
      if (!Number.isFinite(lengths[j])) throw new RangeError(`column ${j} of the design holds a value that is not finite or too large`);
      if (!(lengths[j] > 0)) throw new RangeError(`column ${j} of the design is zero throughout: the fit has no single answer`);
    }
    if (!Number.isFinite(this.squares)) throw new RangeError('a value to be fitted is not finite or too large');
    const matrix = new Float64Array(n * n);
    for (let i = 0; i < n; i++) {
      for (let j = 0; j <= i; j++) {
        const v = this.gram[i * n + j] / (lengths[i] * lengths[j]);
        matrix[i * n + j] = v;
        matrix[j * n + i] = v;
      }
    }
    return { matrix, right: this.right.map((r, j) => r / lengths[j]), lengths };
  }

  /** @throws {RangeError} fewer rows than columns, or columns that depend on each other */
  solve(): AccumulatedFit {
    const n = this.columns;
    if (this.rows < n) throw new RangeError(`a fit of ${n} coefficients needs at least ${n} rows with weight, ${this.rows} given`);
    const { matrix, right, lengths } = this.scaled();
    const pivot = choleskyInPlace(matrix, n, RANK_PIVOT);
    if (!(pivot > RANK_PIVOT)) throw new RangeError('columns of the design depend on each other: the fit has no single answer');
    const coefficients = choleskySolve(matrix, n, right);
    let explained = 0;
    for (let j = 0; j < n; j++) explained += coefficients[j] * right[j];
    const cofactor = choleskyInverse(matrix, n);
    for (let i = 0; i < n; i++) {
      coefficients[i] /= lengths[i];
      for (let j = 0; j < n; j++) cofactor[i * n + j] /= lengths[i] * lengths[j];
    }
    return { coefficients, cofactor, rss: Math.max(0, this.squares - explained), dof: this.rows - n };
  }
}
