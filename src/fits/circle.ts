import { choleskyInPlace, choleskyInverse, choleskySolve } from '../numerics/cholesky.ts';
import { symmetricEigen } from '../numerics/symmetric-eigen.ts';
import { weightedScatter } from './scatter.ts';

/** A circle, or in the limit a line: where it passes, which way it faces there, and how much it bends. */
interface Arc {
  /** A point of the circle. */
  readonly x: number;
  readonly y: number;
  /** Direction of the unit normal at that point, rad; it points away from the centre where the curvature is positive. */
  readonly angle: number;
  readonly curvature: number;
}

export interface CircleFit {
  /** mm; infinite for points on a straight line. */
  readonly centre: readonly [number, number];
  /** mm; infinite for points on a straight line. */
  readonly radius: number;
  /** 1 / radius, 1/mm, ≥ 0: well defined where the radius is not. */
  readonly curvature: number;
  /** Standard uncertainty of the curvature, 1/mm. */
  readonly curvatureU: number;
  /** 3 × 3 row-major covariance of (centre x, centre y, radius), mm²; first order, so meaningless once curvatureU nears the curvature. */
  readonly covariance: Float64Array;
  /** Orthogonal residual with n − 3 degrees of freedom, mm; 0 for three points. */
  readonly rms: number;
  readonly n: number;
  readonly iterations: number;
  readonly reason: 'converged';
}

const MOST_ITERATIONS = 200;
/** Step, relative to the extent of the points, below which the fit has converged: some roundings. */
const STEP_TOLERANCE = 1e-12;
/** Relative fall of the sum of squares that no longer counts: rounding of the sum. */
const FALL_TOLERANCE = 1e-15;
/** Second extent relative to the first, squared, below which the points lie in one place or on a straight line without any residual. */
const DEGENERATE = 1e-28;

/**
 * Circle by orthogonal distances: minimises Σ wᵢ (|pᵢ − c| − r)², started from Taubin's fit. Works in curvature, not in radius, so that nearly
 * straight arcs converge as well as full circles.
 *
 * @param points  2n coordinates, mm, n ≥ 3
 * @param weights  n weights ≥ 0, as 1/u² up to a factor
 * @throws {RangeError} fewer than 3 points with weight, all in one place, or no minimum reached
 * @see Chernov & Lesort, J. Math. Imaging Vision 23 (2005) 239 (parameters for flat arcs); Taubin, IEEE PAMI 13 (1991) 1115
 */
export function fitCircle(points: ArrayLike<number>, weights?: ArrayLike<number>): CircleFit {
  const cloud = normalised(points, weights);
  const start = taubin(cloud);
  let best: Minimum | undefined;
  // A flat, noisy arc can have its start on the wrong side of the straight line; the straight line itself is the second start.
  for (const arc of [start, { ...start, curvature: 0 }]) {
    const found = minimise(cloud, arc);
    if (found !== undefined && (best === undefined || found.squares < best.squares)) best = found;
  }
  if (best === undefined) throw new RangeError('no circle fits these points: the least-squares search found no minimum');
  return asFit(cloud, best);
}

/** Circle by Taubin's algebraic fit: the start of `fitCircle`, and a fair answer where noise is small. @throws as `fitCircle` */
export function fitCircleTaubin(
  points: ArrayLike<number>,
  weights?: ArrayLike<number>,
): { readonly centre: readonly [number, number]; readonly radius: number } {
  const cloud = normalised(points, weights);
  const arc = taubin(cloud);
  return {
    centre: [
      cloud.centroid[0] + cloud.extent * (arc.x - Math.cos(arc.angle) / arc.curvature),
      cloud.centroid[1] + cloud.extent * (arc.y - Math.sin(arc.angle) / arc.curvature),
    ],
    radius: cloud.extent / Math.abs(arc.curvature),
  };
}

/** Points about their centroid in units of their root-mean-square distance from it. */
interface NormalisedPoints {
  readonly xy: Float64Array;
  readonly w: Float64Array;
  readonly count: number;
  readonly weight: number;
  readonly centroid: Float64Array;
  readonly extent: number;
}

function normalised(points: ArrayLike<number>, weights: ArrayLike<number> | undefined): NormalisedPoints {
  const { count, weight, centroid, moments } = weightedScatter(points, 2, weights);
  if (count < 3) throw new RangeError(`a circle needs at least 3 points with weight, ${count} given`);
  const extent = Math.sqrt((moments[0] + moments[3]) / weight);
  if (!(extent > 0)) throw new RangeError('the points lie in one place: they do not carry a circle');
  const n = points.length / 2;
  const xy = new Float64Array(2 * n);
  const w = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    xy[2 * i] = (points[2 * i] - centroid[0]) / extent;
    xy[2 * i + 1] = (points[2 * i + 1] - centroid[1]) / extent;
    w[i] = weights === undefined ? 1 : weights[i];
  }
  return { xy, w, count, weight, centroid, extent };
}

/**
 * Minimises Σ w (A z + B x + C y + D)² under the mean of |gradient|² = 1, z = x² + y². With the mean of z equal to one (normalised points) that is
 * the smallest eigenvalue of the moments of ((z − 1)/2, x, y).
 */
function taubin(cloud: NormalisedPoints): Arc {
  const m = new Float64Array(9);
  for (let i = 0; i < cloud.w.length; i++) {
    const x = cloud.xy[2 * i];
    const y = cloud.xy[2 * i + 1];
    const h = (x * x + y * y - 1) / 2;
    const w = cloud.w[i];
    m[0] += w * h * h;
    m[1] += w * h * x;
    m[2] += w * h * y;
    m[4] += w * x * x;
    m[5] += w * x * y;
    m[8] += w * y * y;
  }
  const { values, vectors } = symmetricEigen(m, 3);
  if (!(values[1] > DEGENERATE * values[2])) throw new RangeError('the points lie in two places only: they do not carry a circle');
  // Normalised so that the gradient has unit length on the circle.
  const a = vectors[0] / 2;
  const d = -a;
  const length = Math.sqrt(vectors[1] ** 2 + vectors[2] ** 2 - 4 * a * d);
  const gradient = Math.hypot(vectors[1], vectors[2]) / length;
  const angle = gradient > 0 ? Math.atan2(vectors[2], vectors[1]) : 0;
  const reach = (-2 * d) / length / (gradient + 1);
  return { x: reach * Math.cos(angle), y: reach * Math.sin(angle), angle, curvature: (2 * a) / length };
}

interface Minimum {
  readonly arc: Arc;
  readonly squares: number;
  /** Normal matrix at the minimum in (shift along the normal, turn, curvature), 3 × 3. */
  readonly gram: Float64Array;
  readonly iterations: number;
}

/** Levenberg–Marquardt in (shift of the arc's point along its normal, turn about that point, curvature). */
function minimise(cloud: NormalisedPoints, start: Arc): Minimum | undefined {
  let arc = start;
  let state = linearise(cloud, arc);
  let damping = 1e-4;
  for (let iterations = 0; iterations < MOST_ITERATIONS; iterations++) {
    const lhs = Float64Array.from(state.gram);
    for (let k = 0; k < 3; k++) lhs[4 * k] *= 1 + damping;
    if (!(choleskyInPlace(lhs, 3, 0) > 0)) return undefined;
    const step = choleskySolve(lhs, 3, state.gradient);
    const next = moved(arc, step);
    const trial = linearise(cloud, next);
    const size = Math.hypot(step[0], step[1], step[2]);
    if (trial.squares <= state.squares) {
      const fall = state.squares - trial.squares;
      arc = next;
      state = trial;
      damping = Math.max(damping / 10, 1e-12);
      if (size < STEP_TOLERANCE || (fall <= FALL_TOLERANCE * state.squares && size < 1e-7))
        return { arc, squares: state.squares, gram: state.gram, iterations };
    } else {
      if (size < STEP_TOLERANCE) return { arc, squares: state.squares, gram: state.gram, iterations };
      damping *= 10;
    }
  }
  return undefined;
}

function moved(arc: Arc, step: Float64Array): Arc {
  return {
    x: arc.x + step[0] * Math.cos(arc.angle),
    y: arc.y + step[0] * Math.sin(arc.angle),
    angle: arc.angle + step[1],
    curvature: arc.curvature + step[2],
  };
}

/** Signed distances d to the arc, Σ w d², and the normal equations of the next step. */
function linearise(cloud: NormalisedPoints, arc: Arc): { squares: number; gram: Float64Array; gradient: Float64Array } {
  const nx = Math.cos(arc.angle);
  const ny = Math.sin(arc.angle);
  const k = arc.curvature;
  const gram = new Float64Array(9);
  const gradient = new Float64Array(3);
  let squares = 0;
  for (let i = 0; i < cloud.w.length; i++) {
    const x = cloud.xy[2 * i] - arc.x;
    const y = cloud.xy[2 * i + 1] - arc.y;
    const along = nx * x + ny * y;
    const r2 = x * x + y * y;
    const p = along + (k * r2) / 2;
    // |p − centre| / radius, with its sign always positive.
    const s = Math.sqrt(Math.max(0, 1 + 2 * k * p));
    const d = (2 * p) / (1 + s);
    const inverse = 1 / Math.max(s, 1e-12);
    const j0 = -(1 + k * along) * inverse;
    const j1 = (nx * y - ny * x) * inverse;
    const j2 = ((r2 - d * d) / 2) * inverse;
    const w = cloud.w[i];
    squares += w * d * d;
    gram[0] += w * j0 * j0;
    gram[3] += w * j0 * j1;
    gram[4] += w * j1 * j1;
    gram[6] += w * j0 * j2;
    gram[7] += w * j1 * j2;
    gram[8] += w * j2 * j2;
    gradient[0] -= w * j0 * d;
    gradient[1] -= w * j1 * d;
    gradient[2] -= w * j2 * d;
  }
  gram[1] = gram[3];
  gram[2] = gram[6];
  gram[5] = gram[7];
  return { squares, gram, gradient };
}

function asFit(cloud: NormalisedPoints, found: Minimum): CircleFit {
  const { arc, squares } = found;
  const dof = cloud.count - 3;
  const factor = Float64Array.from(found.gram);
  if (!(choleskyInPlace(factor, 3, 0) > 0))
    throw new RangeError('the points do not carry a circle: its place, direction and curvature are not all defined');
  const noise = dof > 0 ? squares / dof : Number.POSITIVE_INFINITY;
  const cofactor = choleskyInverse(factor, 3);
  const nx = Math.cos(arc.angle);
  const ny = Math.sin(arc.angle);
  const k = arc.curvature;
  const { extent, centroid } = cloud;
  // Rows: centre x, centre y, radius by shift, turn and curvature, in units of the extent.
  const toCircle = [nx, ny / k, nx / (k * k), ny, -nx / k, ny / (k * k), 0, 0, -Math.sign(k) / (k * k)];
  const straight = k === 0;
  return {
    centre: straight
      ? [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY]
      : [centroid[0] + extent * (arc.x - nx / k), centroid[1] + extent * (arc.y - ny / k)],
    radius: extent / Math.abs(k),
    curvature: Math.abs(k) / extent,
    curvatureU: Math.sqrt(noise * cofactor[8]) / extent,
    covariance: sandwich(toCircle, cofactor, straight ? Number.POSITIVE_INFINITY : noise * extent * extent),
    rms: dof > 0 ? extent * Math.sqrt((squares / dof / cloud.weight) * cloud.count) : 0,
    n: cloud.count,
    iterations: found.iterations,
    reason: 'converged',
  };
}

/** factor · T C Tᵀ, 3 × 3; infinite on the diagonal when the factor is. */
function sandwich(t: readonly number[], c: Float64Array, factor: number): Float64Array {
  const out = new Float64Array(9);
  for (let i = 0; i < 3; i++) {
    for (let j = 0; j < 3; j++) {
      let s = 0;
      for (let k = 0; k < 3; k++) for (let l = 0; l < 3; l++) s += t[3 * i + k] * c[3 * k + l] * t[3 * j + l];
      out[3 * i + j] = factor === Number.POSITIVE_INFINITY ? (i === j ? factor : 0) : factor * s;
    }
  }
  return out;
}
