import type { Vec3 } from '../geometry/vec3.ts';
import { symmetricEigen } from '../numerics/symmetric-eigen.ts';
import { weightedScatter } from './scatter.ts';

export interface LineFit3d {
  /** Weighted mean of the points, on the line, mm. */
  readonly centroid: Vec3;
  /** Unit direction; its largest component is positive. */
  readonly direction: Vec3;
  /** Two unit directions across; (direction, a, b) is right-handed. */
  readonly a: Vec3;
  readonly b: Vec3;
  /** 4 × 4 row-major covariance of (slope towards a, slope towards b, offset along a, offset along b at the centroid): rad, rad, mm, mm. */
  readonly covariance: Float64Array;
  /** Residual a component (of the two across), with 2n − 4 degrees of freedom, mm; 0 for two points. */
  readonly rms: number;
  readonly n: number;
  readonly reason: 'closed form';
}

export interface LineFit2d {
  /** Weighted mean of the points, on the line, mm. */
  readonly centroid: readonly [number, number];
  /** Unit direction; its larger component is positive. */
  readonly direction: readonly [number, number];
  /** Unit direction across, to the left of `direction`. */
  readonly normal: readonly [number, number];
  /** 2 × 2 row-major covariance of (angle, offset along `normal` at the centroid): rad, mm. */
  readonly covariance: Float64Array;
  /** Orthogonal residual with n − 2 degrees of freedom, mm; 0 for two points. */
  readonly rms: number;
  readonly n: number;
  readonly reason: 'closed form';
}

/**
 * Line in space by total least squares: minimises Σ wᵢ |pᵢ − c − ((pᵢ − c)·t) t|² over c and |t| = 1.
 *
 * @param points  3n coordinates, mm, n ≥ 2
 * @param weights  n weights ≥ 0, as 1/u² up to a factor
 * @throws {RangeError} fewer than 2 points with weight, all in one place, or no direction longer than the others
 * @see NIST algorithm testing system, ASME B89.4.10
 */
export function fitLine3d(points: ArrayLike<number>, weights?: ArrayLike<number>): LineFit3d {
  const scatter = weightedScatter(points, 3, weights);
  if (scatter.count < 2) throw new RangeError(`a line needs at least 2 points with weight, ${scatter.count} given`);
  const { values, vectors } = symmetricEigen(scatter.moments, 3);
  requireLength(values[2], values[1]);
  const t = pointedUp([vectors[6], vectors[7], vectors[8]]);
  const a: Vec3 = [vectors[3], vectors[4], vectors[5]];
  const b: Vec3 = [t[1] * a[2] - t[2] * a[1], t[2] * a[0] - t[0] * a[2], t[0] * a[1] - t[1] * a[0]];
  const c = scatter.centroid;
  const dof = 2 * scatter.count - 4;
  const residual = dof > 0 ? across(points, weights, c, a) + across(points, weights, c, b) : 0;
  const noise = dof > 0 ? residual / dof : Number.POSITIVE_INFINITY;
  const covariance = new Float64Array(16);
  covariance[0] = noise / values[2];
  covariance[5] = noise / values[2];
  covariance[10] = noise / scatter.weight;
  covariance[15] = noise / scatter.weight;
  return {
    centroid: [c[0], c[1], c[2]],
    direction: t,
    a,
    b,
    covariance,
    rms: dof > 0 ? Math.sqrt((residual / dof / scatter.weight) * scatter.count) : 0,
    n: scatter.count,
    reason: 'closed form',
  };
}

/**
 * Line in a plane by total least squares: minimises Σ wᵢ (m·(pᵢ − c))² over c and |m| = 1.
 *
 * @param points  2n coordinates, mm, n ≥ 2
 * @param weights  n weights ≥ 0, as 1/u² up to a factor
 * @throws {RangeError} fewer than 2 points with weight, all in one place, or no direction longer than the other
 */
export function fitLine2d(points: ArrayLike<number>, weights?: ArrayLike<number>): LineFit2d {
  const scatter = weightedScatter(points, 2, weights);
  if (scatter.count < 2) throw new RangeError(`a line needs at least 2 points with weight, ${scatter.count} given`);
  const { values, vectors } = symmetricEigen(scatter.moments, 2);
  requireLength(values[1], values[0]);
  let tx = vectors[2];
  let ty = vectors[3];
  if ((Math.abs(tx) >= Math.abs(ty) ? tx : ty) < 0) {
    tx = -tx;
    ty = -ty;
  }
  const c = scatter.centroid;
  const dof = scatter.count - 2;
  const residual = dof > 0 ? across(points, weights, c, [-ty, tx]) : 0;
  const noise = dof > 0 ? residual / dof : Number.POSITIVE_INFINITY;
  return {
    centroid: [c[0], c[1]],
    direction: [tx, ty],
    normal: [-ty, tx],
    covariance: Float64Array.of(noise / values[1], 0, 0, noise / scatter.weight),
    rms: dof > 0 ? Math.sqrt((residual / dof / scatter.weight) * scatter.count) : 0,
    n: scatter.count,
    reason: 'closed form',
  };
}

/** Longest moment relative to the next above which a direction is defined at all: beyond rounding. */
const DIRECTION_MARGIN = 1 + 1e-12;

function requireLength(longest: number, next: number): void {
  if (!(longest > 0)) throw new RangeError('the points lie in one place: they have no direction');
  if (!(longest > DIRECTION_MARGIN * next))
    throw new RangeError('the points extend as far in two directions: they have no direction of a line');
}

/** Σ w (m·(p − c))². */
function across(points: ArrayLike<number>, weights: ArrayLike<number> | undefined, c: Float64Array, m: readonly number[]): number {
  const dimension = m.length;
  let sum = 0;
  for (let i = 0, base = 0; base < points.length; i++, base += dimension) {
    let d = 0;
    for (let k = 0; k < dimension; k++) d += m[k] * (points[base + k] - c[k]);
    sum += (weights === undefined ? 1 : weights[i]) * d * d;
  }
  return sum;
}

function pointedUp(t: Vec3): Vec3 {
  let largest = 0;
  for (let k = 1; k < 3; k++) if (Math.abs(t[k]) > Math.abs(t[largest])) largest = k;
  return t[largest] < 0 ? [-t[0], -t[1], -t[2]] : t;
}
