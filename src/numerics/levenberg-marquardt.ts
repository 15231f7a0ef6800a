import { levenbergMarquardt as descend } from 'ml-levenberg-marquardt';
import { minimiseSquares, type SquaresMinimum, type SquaresProblem } from './minimise-squares.ts';

/** A model y(p) to be fitted to data. */
export interface CurveProblem {
  /** m values. */
  readonly data: ArrayLike<number>;
  /** Standard uncertainty of each value; without it all count alike. */
  readonly sigma?: ArrayLike<number>;
  /** Writes the m values of the model at `parameters`. */
  model(parameters: Float64Array, target: Float64Array): void;
  readonly start: ArrayLike<number>;
  /** Size of each parameter, as in `SquaresProblem`. */
  readonly scale?: ArrayLike<number>;
}

/** Steps the library may take; it has no test of convergence of its own. */
const LIBRARY_STEPS = 60;
/** Difference for the library's derivatives, of parameters scaled to order one: (2e-16)^(1/3). */
const LIBRARY_DIFFERENCE = 6e-6;
/** What the library says when it meets a singular matrix. */
const LIBRARY_SINGULAR = 'LU matrix is singular';

/**
 * Nonlinear least squares: minimises Σ ((yᵢ − modelᵢ(p)) / σᵢ)². ml-levenberg-marquardt goes the first way with whitened residuals and parameters of
 * order one; since it neither tests for convergence nor gives a covariance, and may return its start, the minimum is then polished and proven by
 * `minimiseSquares`, from where the library stopped and from the start itself; the lower of the proven minima is returned.
 *
 * @throws {RangeError} sizes that do not match, a σ that is not above zero, or as `minimiseSquares` when neither way ends at a proven minimum
 */
export function levenbergMarquardt(problem: CurveProblem): SquaresMinimum {
  const whitened = whiten(problem);
  const starts = [firstWay(whitened), Float64Array.from(problem.start)];
  let best: SquaresMinimum | undefined;
  let refusal: RangeError | undefined;
  for (const start of starts) {
    try {
      const found = minimiseSquares({ ...whitened, start, scale: problem.scale });
      if (best === undefined || found.rss < best.rss) best = found;
    } catch (error) {
      if (!(error instanceof RangeError)) throw error;
      refusal = error;
    }
  }
  if (best === undefined) throw refusal;
  return best;
}

function whiten(problem: CurveProblem): SquaresProblem {
  const { data, sigma } = problem;
  const m = data.length;
  if (sigma !== undefined && sigma.length !== m)
    throw new RangeError(`${m} values need ${m} standard uncertainties, ${sigma.length} given`);
  const precision = new Float64Array(m).fill(1);
  for (let i = 0; sigma !== undefined && i < m; i++) {
    if (!(sigma[i] > 0)) throw new RangeError(`a standard uncertainty must be above zero, not ${sigma[i]}`);
    precision[i] = 1 / sigma[i];
  }
  return {
    count: m,
    start: problem.start,
    residuals(parameters, target): void {
      problem.model(parameters, target);
      for (let i = 0; i < m; i++) target[i] = (target[i] - data[i]) * precision[i];
    },
  };
}

/** Where the library stops: its best parameters, or the start when it came to nothing. */
function firstWay(problem: SquaresProblem): Float64Array {
  const start = Float64Array.from(problem.start);
  const scale = start.map((s) => Math.abs(s) || 1);
  const residual = new Float64Array(problem.count);
  const residualByIndex = (scaled: number[]): ((i: number) => number) => {
    problem.residuals(
      Float64Array.from(scaled, (q, j) => q * scale[j]),
      residual,
    );
    const values = Float64Array.from(residual);
    return (i) => values[i];
  };
  // The library asks for a function of one abscissa: the index of the residual.
  const index = Float64Array.from({ length: problem.count }, (_, i) => i);
  try {
    const found = descend({ x: index, y: new Float64Array(problem.count) }, residualByIndex, {
      initialValues: start.map((s, j) => s / scale[j]),
      damping: 1e-2,
      maxIterations: LIBRARY_STEPS,
      centralDifference: true,
      gradientDifference: LIBRARY_DIFFERENCE,
      errorTolerance: 0,
    }).parameterValues.map((q, j) => q * scale[j]);
    return found.every(Number.isFinite) ? Float64Array.from(found) : start;
  } catch (error) {
    // The library inverts its normal matrix and gives up when that is singular; the second way, from the start, does not need it.
    if (error instanceof Error && error.message === LIBRARY_SINGULAR) return start;
    throw error;
  }
}
