import { choleskyInPlace } from './cholesky.ts';
import { linearLeastSquares } from './linear-least-squares.ts';

export interface GeneralisedFit {
  readonly coefficients: Float64Array;
  /** p × p row-major covariance, for the covariance of y as given. */
  readonly covariance: Float64Array;
  /** Residuals in units of their covariance, squared and summed; `dof` is expected. */
  readonly chiSquared: number;
  readonly dof: number;
}

/** Smallest pivot of a covariance relative to its diagonal: below it values are copies of each other. */
const PIVOT = 1e-12;

/**
 * Generalised least squares: minimises (y − Xc)ᵀ C⁻¹ (y − Xc), by whitening with the Cholesky factor of C.
 *
 * @param design  n × p row-major
 * @param y  n values
 * @param covariance  n × n row-major, of y
 * @throws {RangeError} a covariance that is not positive definite, or a design without a single answer
 * @see Aitken, Proc. R. Soc. Edinb. 55 (1935) 42
 */
export function generalisedLeastSquares(
  design: ArrayLike<number>,
  columns: number,
  y: ArrayLike<number>,
  covariance: ArrayLike<number>,
): GeneralisedFit {
  const n = y.length;
  const factor = Float64Array.from(covariance);
  const largest = Math.max(...Array.from({ length: n }, (_, i) => factor[i * n + i]));
  if (!(choleskyInPlace(factor, n, PIVOT * largest) > PIVOT * largest))
    throw new RangeError('the covariance of the values is not positive definite: some are copies of others');
  const rows = new Float64Array(n * columns);
  const values = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= columns; j++) {
      let v = j === columns ? y[i] : design[i * columns + j];
      for (let k = 0; k < i; k++) v -= factor[i * n + k] * (j === columns ? values[k] : rows[k * columns + j]);
      v /= factor[i * n + i];
      if (j === columns) values[i] = v;
      else rows[i * columns + j] = v;
    }
  }
  const fit = linearLeastSquares(rows, columns, values);
  return { coefficients: fit.coefficients, covariance: fit.cofactor, chiSquared: fit.rss, dof: n - columns };
}
