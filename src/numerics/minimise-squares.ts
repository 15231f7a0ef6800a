import { backSubstitute, householderInPlace, inverseGram } from './householder-qr.ts';

/** A sum of squares to be minimised: Σ rᵢ(p)². */
export interface SquaresProblem {
  /** Number m of residuals. */
  readonly count: number;
  /** Writes the m residuals at `parameters`, already divided by their standard uncertainties (or by one common unit). */
  residuals(parameters: Float64Array, target: Float64Array): void;
  /** Writes ∂rᵢ/∂pⱼ, m × n row-major. Without it derivatives are taken by central differences of fourth order. */
  jacobian?(parameters: Float64Array, target: Float64Array): void;
  /** n start values. */
  readonly start: ArrayLike<number>;
  /** Size of each parameter, to tell what a small change of it is; by default a thousandth of its start value, or 1 for a start at 0. */
  readonly scale?: ArrayLike<number> | undefined;
  /** Trial steps before the search is given up, 2000 by default. */
  readonly mostIterations?: number;
}

export interface SquaresMinimum {
  readonly parameters: Float64Array;
  /** n × n row-major (JᵀJ)⁻¹: the covariance when the residuals are in units of their true standard uncertainties. */
  readonly cofactor: Float64Array;
  /** n × n row-major, cofactor × rss / dof; infinite on the diagonal when dof is 0. */
  readonly covariance: Float64Array;
  readonly rss: number;
  readonly dof: number;
  readonly iterations: number;
  /** What proves the minimum: the residual stands at right angles to all derivatives, or the next step is below rounding. */
  readonly reason: 'orthogonal' | 'rounding';
}

/** A few of the certified problems creep along curved valleys for some hundred steps; none that succeeds needs more. */
const MOST_ITERATIONS = 2000;
const MOST_POLISHING_STEPS = 30;
/** Share of the residual that derivatives can still explain at a proven minimum: the parameters are then within 1e-7 √m of their u. */
const ORTHOGONAL = 1e-7;
/** Relative step below which nothing is left but rounding of the residuals (data without noise). */
const ROUNDING_STEP = 1e-11;
/** Share of the residual that is aimed at before the search stops by itself: the limit of difference quotients. */
const AIM = 1e-10;
/** Step for central differences relative to the parameter: truncation (1e-4)⁴ and rounding 2e-16 / 1e-4 about balance. */
const DIFFERENCE = 1e-4;
/** Without a given scale a parameter may shrink to this share of its start value before its steps for differences stop shrinking with it. */
const SMALLEST_SHARE = 1e-3;
/** Diagonal of R relative to its column's length below which a parameter has no influence of its own. */
const RANK_TOLERANCE = 1e-13;
const FIRST_DAMPING = 1e-3;
const LEAST_DAMPING = 1e-15;
const MOST_DAMPING = 1e20;
/** Distance, in standard uncertainties, at which the sum of squares is looked at on both sides of a minimum. */
const PROBE = 0.1;

/**
 * Minimises a sum of squares by damped Gauss–Newton steps (Levenberg–Marquardt with columns scaled by their own length, each step by Householder QR)
 * and proves the minimum.
 *
 * @throws {RangeError} fewer residuals than parameters; values that are not finite at the start; no minimum reached; parameters that the data do not
 *         determine; a place that is stationary but no minimum. A start value is never returned unproven.
 * @see Moré 1978, The Levenberg–Marquardt algorithm; Bates & Watts 1981, A relative offset orthogonality convergence criterion
 */
export function minimiseSquares(problem: SquaresProblem): SquaresMinimum {
  const n = problem.start.length;
  const m = problem.count;
  if (!(n > 0)) throw new RangeError('a least-squares search needs at least one parameter');
  if (m < n) throw new RangeError(`${m} residuals cannot determine ${n} parameters`);
  const scale = scales(problem);
  const search = beginSearch(problem);
  const jacobian = new Float64Array(m * n);
  const mostIterations = problem.mostIterations ?? MOST_ITERATIONS;
  while (search.iterations < mostIterations) {
    differentiate(problem, search.parameters, scale, jacobian);
    const now = columnLengths(jacobian, m, n);
    for (let j = 0; j < n; j++) search.lengths[j] = Math.max(now[j], search.lengths[j]);
    if (explainedShare(jacobian, search.residual, now, m, n).share <= AIM) break;
    if (!descend(problem, search, jacobian, mostIterations)) break;
  }
  return proven(problem, polish(problem, search.parameters, scale, search.rss), scale, search.iterations);
}

/** Where a search stands; changes from step to step. */
interface Search {
  parameters: Float64Array;
  residual: Float64Array;
  rss: number;
  /** λ of the next step, and the factor by which it grows when that step fails. */
  damping: number;
  growth: number;
  /** Greatest length of each column of the derivatives so far. */
  readonly lengths: Float64Array;
  iterations: number;
}

function beginSearch(problem: SquaresProblem): Search {
  const parameters = Float64Array.from(problem.start);
  const residual = new Float64Array(problem.count);
  const rss = evaluate(problem, parameters, residual);
  if (!Number.isFinite(rss)) throw new RangeError('the residuals are not finite at the start values: start elsewhere');
  return { parameters, residual, rss, damping: FIRST_DAMPING, growth: 2, lengths: new Float64Array(parameters.length), iterations: 0 };
}

/** Tries steps with more and more damping until one lowers the sum of squares; false when none does. */
function descend(problem: SquaresProblem, search: Search, jacobian: Float64Array, mostIterations: number): boolean {
  const m = problem.count;
  const n = search.parameters.length;
  const residual = new Float64Array(m);
  while (search.iterations < mostIterations && search.damping <= MOST_DAMPING) {
    search.iterations++;
    const step = dampedStep(jacobian, search.residual, search.lengths, search.damping, m, n);
    const trial = search.parameters.map((p, j) => p + step[j]);
    if (trial.every((p, j) => p === search.parameters[j])) return false;
    const rss = evaluate(problem, trial, residual);
    if (rss < search.rss) {
      const gain = (search.rss - rss) / predictedFall(jacobian, search.residual, step, search.rss, m, n);
      search.damping = Math.max(search.damping * Math.max(1 / 3, 1 - (2 * gain - 1) ** 3), LEAST_DAMPING);
      search.growth = 2;
      search.parameters = trial;
      search.residual = residual;
      search.rss = rss;
      return true;
    }
    search.damping *= search.growth;
    search.growth *= 2;
  }
  return false;
}

/**
 * Undamped Gauss–Newton steps for as long as they bring the residual nearer to right angles with the derivatives. The sum of squares itself cannot guide
 * the last digits: near its minimum it changes by less than its rounding.
 */
function polish(problem: SquaresProblem, from: Float64Array, scale: Float64Array, rss: number): Float64Array {
  const n = from.length;
  const m = problem.count;
  const residual = new Float64Array(m);
  const jacobian = new Float64Array(m * n);
  let best = from;
  let trial = from;
  let share = Number.POSITIVE_INFINITY;
  for (let k = 0; k < MOST_POLISHING_STEPS; k++) {
    if (evaluate(problem, trial, residual) > rss * (1 + ORTHOGONAL) + Number.MIN_VALUE) return best;
    differentiate(problem, trial, scale, jacobian);
    const lengths = columnLengths(jacobian, m, n);
    const here = explainedShare(jacobian, residual, lengths, m, n);
    if (!(here.share < share)) return best;
    best = trial;
    share = here.share;
    if (!(here.least > RANK_TOLERANCE)) return best;
    const step = backSubstitute(here.r, n, here.qtr);
    trial = best.map((p, j) => p - step[j] / lengths[j]);
  }
  return best;
}

/** Sum of squares of the residuals, which go to `target`; infinite when one is not finite. */
function evaluate(problem: SquaresProblem, parameters: Float64Array, target: Float64Array): number {
  problem.residuals(parameters, target);
  let sum = 0;
  for (let i = 0; i < target.length; i++) sum += target[i] * target[i];
  return Number.isFinite(sum) ? sum : Number.POSITIVE_INFINITY;
}

function scales(problem: SquaresProblem): Float64Array {
  const n = problem.start.length;
  if (problem.scale !== undefined && problem.scale.length !== n)
    throw new RangeError(`${n} parameters need ${n} scales, ${problem.scale.length} given`);
  const scale = Float64Array.from(problem.start, (s, j) => {
    const given = problem.scale?.[j];
    return given === undefined ? SMALLEST_SHARE * Math.abs(s) || 1 : Math.abs(given) || 1;
  });
  if (!scale.every(Number.isFinite)) throw new RangeError('start values and scales must be finite');
  return scale;
}

/** Derivatives as the problem gives them, or by differences at ±h and ±h/2 extrapolated to fourth order. */
function differentiate(problem: SquaresProblem, parameters: Float64Array, scale: Float64Array, jacobian: Float64Array): void {
  if (problem.jacobian !== undefined) {
    problem.jacobian(parameters, jacobian);
    return;
  }
  const m = problem.count;
  const n = parameters.length;
  const up = new Float64Array(m);
  const down = new Float64Array(m);
  const moved = Float64Array.from(parameters);
  for (let j = 0; j < n; j++) {
    const h = DIFFERENCE * Math.max(Math.abs(parameters[j]), scale[j]);
    for (const [factor, share] of [
      [1, -1 / 3],
      [0.5, 4 / 3],
    ] as const) {
      moved[j] = parameters[j] + factor * h;
      const above = moved[j];
      problem.residuals(moved, up);
      moved[j] = parameters[j] - factor * h;
      const between = above - moved[j];
      problem.residuals(moved, down);
      for (let i = 0; i < m; i++) {
        const slope = (share * (up[i] - down[i])) / between;
        jacobian[i * n + j] = factor === 1 ? slope : jacobian[i * n + j] + slope;
      }
    }
    moved[j] = parameters[j];
  }
}

function columnLengths(jacobian: Float64Array, m: number, n: number): Float64Array {
  const lengths = new Float64Array(n);
  for (let i = 0; i < m; i++) for (let j = 0; j < n; j++) lengths[j] += jacobian[i * n + j] ** 2;
  return lengths.map((s) => Math.sqrt(s) || Number.MIN_VALUE);
}

/** Minimises |r + J d|² + λ |D d|², D the columns' greatest lengths so far (Moré): a parameter that runs away does not gain freedom by it. */
function dampedStep(
  jacobian: Float64Array,
  residual: Float64Array,
  lengths: Float64Array,
  damping: number,
  m: number,
  n: number,
): Float64Array {
  const a = new Float64Array((m + n) * n);
  const y = new Float64Array(m + n);
  for (let i = 0; i < m; i++) {
    for (let j = 0; j < n; j++) a[i * n + j] = jacobian[i * n + j] / lengths[j];
    y[i] = -residual[i];
  }
  for (let j = 0; j < n; j++) a[(m + j) * n + j] = Math.sqrt(damping);
  householderInPlace(a, m + n, n, y);
  return backSubstitute(a, n, y).map((s, j) => s / lengths[j]);
}

/** Fall of the sum of squares if the residuals were linear: |r|² − |r + J d|². */
function predictedFall(jacobian: Float64Array, residual: Float64Array, step: Float64Array, rss: number, m: number, n: number): number {
  let left = 0;
  for (let i = 0; i < m; i++) {
    let r = residual[i];
    for (let j = 0; j < n; j++) r += jacobian[i * n + j] * step[j];
    left += r * r;
  }
  return Math.max(rss - left, Number.MIN_VALUE);
}

interface Offset {
  /** Share of the residual's length that lies in the space of the derivatives, 0…1. */
  readonly share: number;
  /** n × n triangle of the scaled derivatives and Qᵀr, for what follows from them. */
  readonly r: Float64Array;
  readonly qtr: Float64Array;
  /** Smallest diagonal of R: near 0 when a parameter has no influence of its own. */
  readonly least: number;
}

function explainedShare(jacobian: Float64Array, residual: Float64Array, lengths: Float64Array, m: number, n: number): Offset {
  const r = new Float64Array(m * n);
  for (let i = 0; i < m; i++) for (let j = 0; j < n; j++) r[i * n + j] = jacobian[i * n + j] / lengths[j];
  const qtr = Float64Array.from(residual);
  householderInPlace(r, m, n, qtr);
  let explained = 0;
  let total = 0;
  let least = Number.POSITIVE_INFINITY;
  for (let i = 0; i < m; i++) total += residual[i] * residual[i];
  for (let j = 0; j < n; j++) {
    explained += qtr[j] * qtr[j];
    const d = Math.abs(r[j * n + j]);
    if (!(d >= least)) least = d;
  }
  return { share: total > 0 ? Math.sqrt(explained / total) : 0, r, qtr, least };
}

function proven(problem: SquaresProblem, parameters: Float64Array, scale: Float64Array, iterations: number): SquaresMinimum {
  const n = parameters.length;
  const m = problem.count;
  const residual = new Float64Array(m);
  const jacobian = new Float64Array(m * n);
  const rss = evaluate(problem, parameters, residual);
  differentiate(problem, parameters, scale, jacobian);
  const lengths = columnLengths(jacobian, m, n);
  const { share, r, qtr, least } = explainedShare(jacobian, residual, lengths, m, n);
  if (!(least > RANK_TOLERANCE)) {
    throw new RangeError(`the data do not determine all ${n} parameters: some can be changed together without any effect`);
  }
  const next = backSubstitute(r, n, qtr).map((s, j) => Math.abs(s / lengths[j]) / Math.max(Math.abs(parameters[j]), scale[j]));
  const reason = share <= ORTHOGONAL ? 'orthogonal' : next.every((s) => s <= ROUNDING_STEP) ? 'rounding' : undefined;
  if (reason === undefined) {
    throw new RangeError(
      `no minimum reached in ${iterations} steps: derivatives still explain ${share.toExponential(1)} of the residual; start nearer`,
    );
  }
  const cofactor = inverseGram(r, n);
  for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) cofactor[i * n + j] /= lengths[i] * lengths[j];
  const dof = m - n;
  const covariance = new Float64Array(n * n);
  for (let i = 0; i < n * n; i++) covariance[i] = dof > 0 ? (cofactor[i] * rss) / dof : i % (n + 1) === 0 ? Number.POSITIVE_INFINITY : 0;
  if (dof > 0) refuseSaddle(problem, parameters, covariance, rss);
  return { parameters, cofactor, covariance, rss, dof, iterations, reason };
}

/** Gauss–Newton cannot tell a minimum from a saddle: the sum of squares itself must not fall on either side along the covariance's columns. */
function refuseSaddle(problem: SquaresProblem, parameters: Float64Array, covariance: Float64Array, rss: number): void {
  const n = parameters.length;
  const residual = new Float64Array(problem.count);
  for (let j = 0; j < n; j++) {
    const u = Math.sqrt(covariance[j * n + j]);
    if (!(u > 0)) continue;
    for (const side of [-PROBE, PROBE]) {
      const beside = parameters.map((p, i) => p + (side * covariance[i * n + j]) / u);
      if (evaluate(problem, beside, residual) < rss * (1 - ORTHOGONAL)) {
        throw new RangeError('the place found is stationary but no minimum: start elsewhere');
      }
    }
  }
}
