import type { Vec3 } from '../geometry/vec3.ts';
import { symmetricEigen } from '../numerics/symmetric-eigen.ts';
import { weightedScatter } from './scatter.ts';

export interface PlaneFit {
  /** Unit normal; its largest component is positive. */
  readonly normal: Vec3;
  /** Weighted mean of the points, on the plane, mm. */
  readonly centroid: Vec3;
  /** normal · centroid, mm. */
  readonly offset: number;
  /** Unit directions in the plane, along the longer and the shorter extent; (u, v, normal) is right-handed. */
  readonly u: Vec3;
  readonly v: Vec3;
  /**
   * 3 × 3 row-major covariance of (slope along u, slope along v, offset at the centroid) in rad, rad, mm: the normal turns by −slope.
   * Infinite on the diagonal for three points, which leave no residual.
   */
  readonly covariance: Float64Array;
  /** Orthogonal residual with n − 3 degrees of freedom, mm; 0 for three points. */
  readonly rms: number;
  readonly n: number;
  readonly reason: 'closed form';
}

/** Second extent relative to the first below which the points lie on a line: its square is then lost in the rounding of the moments. */
const COLLINEAR = 1e-7;

/**
 * Plane through points by total least squares: minimises Σ wᵢ (n·pᵢ − d)² over |n| = 1.
 *
 * @param points  3n coordinates, mm, n ≥ 3
 * @param weights  n weights ≥ 0, as 1/u² up to a factor
 * @throws {RangeError} fewer than 3 points with weight, all on a line, or a coordinate that is not finite
 * @see NIST algorithm testing system, ASME B89.4.10 (definition of the fit); JCGM 100:2008 (covariance)
 */
export function fitPlane(points: ArrayLike<number>, weights?: ArrayLike<number>): PlaneFit {
  const scatter = weightedScatter(points, 3, weights);
  if (scatter.count < 3) throw new RangeError(`a plane needs at least 3 points with weight, ${scatter.count} given`);
  const { values, vectors } = symmetricEigen(scatter.moments, 3);
  // Moments are squares: what is not above rounding of the greatest is nothing.
  if (!(values[1] > COLLINEAR * COLLINEAR * values[2]) || !(values[1] > 0)) {
    throw new RangeError('the points lie on one line (or one place): they do not carry a plane');
  }
  const normal = pointedUp([vectors[0], vectors[1], vectors[2]]);
  const u: Vec3 = [vectors[6], vectors[7], vectors[8]];
  const v: Vec3 = [normal[1] * u[2] - normal[2] * u[1], normal[2] * u[0] - normal[0] * u[2], normal[0] * u[1] - normal[1] * u[0]];
  const c = scatter.centroid;
  const centroid: Vec3 = [c[0], c[1], c[2]];
  const dof = scatter.count - 3;
  const residual = dof > 0 ? residualSum(points, weights, centroid, normal) : 0;
  const noise = dof > 0 ? residual / dof : Number.POSITIVE_INFINITY;
  const covariance = Float64Array.of(noise / values[2], 0, 0, 0, noise / values[1], 0, 0, 0, noise / scatter.weight);
  return {
    normal,
    centroid,
    offset: normal[0] * c[0] + normal[1] * c[1] + normal[2] * c[2],
    u,
    v,
    covariance,
    rms: dof > 0 ? Math.sqrt((residual / dof / scatter.weight) * scatter.count) : 0,
    n: scatter.count,
    reason: 'closed form',
  };
}

/** Σ w d², summed over the points: the smallest eigenvalue itself is lost in rounding when the points are nearly flat. */
function residualSum(points: ArrayLike<number>, weights: ArrayLike<number> | undefined, c: Vec3, n: Vec3): number {
  let sum = 0;
  for (let i = 0, k = 0; k < points.length; i++, k += 3) {
    const d = n[0] * (points[k] - c[0]) + n[1] * (points[k + 1] - c[1]) + n[2] * (points[k + 2] - c[2]);
    sum += (weights === undefined ? 1 : weights[i]) * d * d;
  }
  return sum;
}

function pointedUp(n: Vec3): Vec3 {
  let largest = 0;
  for (let k = 1; k < 3; k++) if (Math.abs(n[k]) > Math.abs(n[largest])) largest = k;
  return n[largest] < 0 ? [-n[0], -n[1], -n[2]] : n;
}
