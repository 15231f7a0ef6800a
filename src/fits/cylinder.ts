import { add, scale, type Vec3 } from '../geometry/vec3.ts';
import { acrossAxis, halfSphere } from './axis-frame.ts';
import { fitCircleTaubin } from './circle.ts';
import {
  heightOfCentroid,
  lowestMinimum,
  type ProfileDistance,
  type Revolved,
  type RevolvedFit,
  sumOfSquares,
  type UnitPoints,
  unitPoints,
} from './revolved.ts';

export interface CylinderFit {
  /** Point of the axis nearest to the centroid of the points, mm. */
  readonly point: Vec3;
  /** Unit direction; its largest component is positive. */
  readonly axis: Vec3;
  readonly radius: number;
  /** Directions across the axis; (a, b, axis or −axis) is right-handed. */
  readonly a: Vec3;
  readonly b: Vec3;
  /** 5 × 5 row-major covariance of (shift of the axis along a, along b, its slope towards a, towards b, radius): mm, mm, rad, rad, mm. */
  readonly covariance: Float64Array;
  /** Orthogonal residual with n − 5 degrees of freedom, mm; 0 for five points. */
  readonly rms: number;
  readonly n: number;
  readonly iterations: number;
  readonly reason: 'orthogonal' | 'rounding';
}

/** Directions tried as axes when none is given: about 9° apart. */
const DIRECTIONS = 300;
/** The best of them are refined. */
const STARTS = 5;

const distance: ProfileDistance = (radial, _along, shape) => radial - shape[0];

/**
 * Cylinder by orthogonal distances: minimises Σ wᵢ (distance of pᵢ from the axis − radius)². Without a given axis all directions are tried.
 *
 * @param points  3n coordinates, mm, n ≥ 5
 * @param options  `weights`: n weights ≥ 0, as 1/u² up to a factor; `axis`: a direction within about 20° of the axis
 * @throws {RangeError} fewer than 5 points with weight, or points that do not carry a cylinder
 * @see ASME B89.4.10 (definition of the fit)
 */
export function fitCylinder(
  points: ArrayLike<number>,
  options: { readonly weights?: ArrayLike<number>; readonly axis?: Vec3 } = {},
): CylinderFit {
  const unit = unitPoints(points, options.weights);
  if (unit.count < 5) throw new RangeError(`a cylinder needs at least 5 points with weight, ${unit.count} given`);
  const directions = options.axis === undefined ? halfSphere(DIRECTIONS) : [options.axis];
  return asFit(unit, lowestMinimum(unit, bestStarts(unit, directions), distance, 'cylinder'));
}

/** Cylinders along each direction (Taubin's circle in the projection), the nearest to the points first. */
function bestStarts(points: UnitPoints, directions: readonly Vec3[]): Revolved[] {
  const flat = new Float64Array(2 * points.count);
  const weights = points.root.map((r) => r * r);
  const tried: { start: Revolved; squares: number }[] = [];
  for (const axis of directions) {
    const { a, b } = acrossAxis(axis);
    for (let i = 0; i < points.count; i++) {
      const [x, y, z] = points.xyz.subarray(3 * i, 3 * i + 3);
      flat[2 * i] = a[0] * x + a[1] * y + a[2] * z;
      flat[2 * i + 1] = b[0] * x + b[1] * y + b[2] * z;
    }
    const { centre, radius } = fitCircleTaubin(flat, weights);
    if (!Number.isFinite(radius)) continue;
    const start: Revolved = { point: add(scale(a, centre[0]), scale(b, centre[1])), axis, shape: [radius] };
    tried.push({ start, squares: sumOfSquares(points, start, distance) });
  }
  return tried
    .sort((p, q) => p.squares - q.squares)
    .slice(0, STARTS)
    .map((t) => t.start);
}

function asFit(points: UnitPoints, found: RevolvedFit): CylinderFit {
  const { extent, centroid } = points;
  const foot = add(found.point, scale(found.axis, heightOfCentroid(found)));
  const units = [extent, extent, 1, 1, extent];
  const largest = found.axis.reduce((k, v, i) => (Math.abs(v) > Math.abs(found.axis[k]) ? i : k), 0);
  return {
    point: add(centroid, scale(foot, extent)),
    axis: found.axis[largest] < 0 ? scale(found.axis, -1) : found.axis,
    radius: extent * Math.abs(found.shape[0]),
    a: found.a,
    b: found.b,
    covariance: found.minimum.covariance.map((c, i) => c * units[Math.floor(i / 5)] * units[i % 5]),
    rms: found.minimum.dof > 0 ? extent * Math.sqrt(found.minimum.rss / found.minimum.dof) : 0,
    n: points.count,
    iterations: found.minimum.iterations,
    reason: found.minimum.reason,
  };
}
