import { add, scale, type Vec3 } from '../geometry/vec3.ts';
import { linearLeastSquares } from '../numerics/linear-least-squares.ts';
import { propagate } from '../numerics/propagation.ts';
import { acrossAxis, halfSphere } from './axis-frame.ts';
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

export interface ConeFit {
  /** Point of the axis nearest to the centroid of the points, mm. */
  readonly point: Vec3;
  /** Unit direction in which the cone grows. */
  readonly axis: Vec3;
  /** Distance of `point` from the surface, square to it, mm. */
  readonly distance: number;
  /** Radius at `point`, square to the axis, mm. */
  readonly radius: number;
  /** Half of the angle at the apex, rad, 0 … π/2. */
  readonly halfAngle: number;
  /** Directions across the axis. */
  readonly a: Vec3;
  readonly b: Vec3;
  /**
   * 6 × 6 row-major covariance of (shift of the axis along a, along b at `point`, its slope towards a, towards b, distance, half angle): mm, mm, rad, rad,
   * mm, rad.
   */
  readonly covariance: Float64Array;
  /** Orthogonal residual with n − 6 degrees of freedom, mm; 0 for six points. */
  readonly rms: number;
  readonly n: number;
  readonly iterations: number;
  readonly reason: 'orthogonal' | 'rounding';
}

/** Directions tried as axes when none is given: about 7° apart. */
const DIRECTIONS = 500;
/** The best of them are refined. */
const STARTS = 6;

/** Shape: distance of the axis' point from the surface, half angle. */
const distance: ProfileDistance = (radial, along, shape) => radial * Math.cos(shape[1]) - along * Math.sin(shape[1]) - shape[0];

/**
 * Cone by orthogonal distances: minimises Σ wᵢ (ρᵢ cos ψ − hᵢ sin ψ − s)², ρ and h the distance from the axis and the height along it. Without a given
 * axis all directions are tried.
 *
 * @param points  3n coordinates, mm, n ≥ 6
 * @param options  `weights`: n weights ≥ 0, as 1/u² up to a factor; `axis`: a direction within about 20° of the axis, either way
 * @throws {RangeError} fewer than 6 points with weight, or points that do not carry a cone
 * @see ASME B89.4.10 (definition of the fit)
 */
export function fitCone(points: ArrayLike<number>, options: { readonly weights?: ArrayLike<number>; readonly axis?: Vec3 } = {}): ConeFit {
  const unit = unitPoints(points, options.weights);
  if (unit.count < 6) throw new RangeError(`a cone needs at least 6 points with weight, ${unit.count} given`);
  const directions = options.axis === undefined ? halfSphere(DIRECTIONS) : [options.axis];
  return asFit(unit, lowestMinimum(unit, bestStarts(unit, directions), distance, 'cone'));
}

/** Cones along each direction, the nearest to the points first. */
function bestStarts(points: UnitPoints, directions: readonly Vec3[]): Revolved[] {
  const tried: { start: Revolved; squares: number }[] = [];
  for (const axis of directions) {
    const start = coneAlong(points, axis);
    if (start !== undefined) tried.push({ start, squares: sumOfSquares(points, start, distance) });
  }
  return tried
    .sort((p, q) => p.squares - q.squares)
    .slice(0, STARTS)
    .map((t) => t.start);
}

/**
 * Cone about a direction by linear least squares: |p across|² = 2 c·p + A + B h, where A and B belong to the squared radius at the centroid and to its
 * growth (its square is left out: rings of points do not show it). Undefined when the squared radius comes out negative or nothing is defined.
 */
function coneAlong(points: UnitPoints, axis: Vec3): Revolved | undefined {
  const { a, b } = acrossAxis(axis);
  const design = new Float64Array(4 * points.count);
  const squares = new Float64Array(points.count);
  for (let i = 0; i < points.count; i++) {
    const [x, y, z] = points.xyz.subarray(3 * i, 3 * i + 3);
    const u = a[0] * x + a[1] * y + a[2] * z;
    const v = b[0] * x + b[1] * y + b[2] * z;
    design[4 * i] = 2 * u;
    design[4 * i + 1] = 2 * v;
    design[4 * i + 2] = 1;
    design[4 * i + 3] = axis[0] * x + axis[1] * y + axis[2] * z;
    squares[i] = u * u + v * v;
  }
  const solved = solvable(design, squares, points);
  if (solved === undefined) return undefined;
  const [cu, cv, level, growth] = solved;
  const radius2 = level + cu * cu + cv * cv;
  if (!(radius2 > 0)) return undefined;
  const radius = Math.sqrt(radius2);
  const halfAngle = Math.atan(growth / (2 * radius));
  return { point: add(scale(a, cu), scale(b, cv)), axis, shape: [radius * Math.cos(halfAngle), halfAngle] };
}

/** The linear solution; undefined for a direction along which the columns depend on each other (all points at one height). */
function solvable(design: Float64Array, squares: Float64Array, points: UnitPoints): Float64Array | undefined {
  try {
    return linearLeastSquares(
      design,
      4,
      squares,
      points.root.map((r) => r * r),
    ).coefficients;
  } catch (error) {
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}

function asFit(points: UnitPoints, found: RevolvedFit): ConeFit {
  const { extent, centroid } = points;
  const [s, psi] = found.shape;
  const lift = heightOfCentroid(found);
  const foot = add(found.point, scale(found.axis, lift));
  const atFoot = s + lift * Math.sin(psi);
  // Shifts and distance at the foot: the axis' slopes and the half angle act over the lift.
  const t = new Float64Array(36);
  for (let k = 0; k < 6; k++) t[7 * k] = 1;
  t[2] = lift;
  t[9] = lift;
  t[29] = lift * Math.cos(psi);
  const units = [extent, extent, 1, 1, extent, 1];
  const local = transformed(t, found.minimum.covariance, found.minimum.dof);
  return {
    point: add(centroid, scale(foot, extent)),
    axis: psi < 0 ? scale(found.axis, -1) : found.axis,
    distance: extent * atFoot,
    radius: (extent * atFoot) / Math.cos(psi),
    halfAngle: Math.abs(psi),
    a: found.a,
    b: found.b,
    covariance: local.map((c, i) => c * units[Math.floor(i / 6)] * units[i % 6]),
    rms: found.minimum.dof > 0 ? extent * Math.sqrt(found.minimum.rss / found.minimum.dof) : 0,
    n: points.count,
    iterations: found.minimum.iterations,
    reason: found.minimum.reason,
  };
}

/** T C Tᵀ, 6 × 6; without degrees of freedom C stays infinite as it is. */
function transformed(t: Float64Array, c: Float64Array, dof: number): Float64Array {
  return dof > 0 ? propagate(t, c) : c;
}
