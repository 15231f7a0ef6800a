import { dot, unit, type Vec3 } from '../geometry/vec3.ts';
import { minimiseSquares, type SquaresMinimum } from '../numerics/minimise-squares.ts';
import { acrossAxis } from './axis-frame.ts';
import { weightedScatter } from './scatter.ts';

/** Points about their centroid in units of their root-mean-square distance from it, with the roots of weights of mean one. */
export interface UnitPoints {
  readonly xyz: Float64Array;
  readonly root: Float64Array;
  /** Points with weight. */
  readonly count: number;
  readonly centroid: Vec3;
  /** mm a unit. */
  readonly extent: number;
}

/** @throws {RangeError} as `weightedScatter`, or points in one place */
export function unitPoints(points: ArrayLike<number>, weights: ArrayLike<number> | undefined): UnitPoints {
  const { count, weight, centroid, moments } = weightedScatter(points, 3, weights);
  const extent = Math.sqrt((moments[0] + moments[4] + moments[8]) / weight);
  if (!(extent > 0)) throw new RangeError('the points lie in one place');
  const kept: number[] = [];
  const root: number[] = [];
  for (let i = 0; 3 * i < points.length; i++) {
    const w = weights === undefined ? 1 : weights[i];
    if (!(w > 0)) continue;
    for (let k = 0; k < 3; k++) kept.push((points[3 * i + k] - centroid[k]) / extent);
    root.push(Math.sqrt((w * count) / weight));
  }
  return { xyz: Float64Array.from(kept), root: Float64Array.from(root), count, centroid: [centroid[0], centroid[1], centroid[2]], extent };
}

/** An axis in space and the numbers that give the surface its shape about it (radius; distance and half angle). */
export interface Revolved {
  readonly point: Vec3;
  readonly axis: Vec3;
  readonly shape: readonly number[];
}

/** Distance of a point from the surface, from its distance to the axis and its height along it. */
export type ProfileDistance = (radial: number, along: number, shape: ArrayLike<number>) => number;

export interface RevolvedFit extends Revolved {
  /** Directions across the axis to which the first four parameters refer. */
  readonly a: Vec3;
  readonly b: Vec3;
  /** Parameters: shift along a, shift along b, slope of the axis towards a, towards b, then the shape. */
  readonly minimum: SquaresMinimum;
}

/** Axes are described by small slopes from a start; when they end further off than this the search goes on from where it ended. */
const SMALL_SLOPE = 0.05;
const MOST_ROUNDS = 8;
/** Steps from one start: a good one needs about ten; one that needs more belongs to another direction. */
const MOST_STEPS = 60;

/**
 * Surface of revolution nearest to the points, from a start: minimises Σ w distance².
 *
 * @throws {RangeError} as `minimiseSquares`
 */
function refineRevolved(points: UnitPoints, start: Revolved, distance: ProfileDistance): RevolvedFit {
  let from = start;
  for (let round = 0; ; round++) {
    const { a, b } = acrossAxis(from.axis);
    const at = (p: ArrayLike<number>): Revolved => ({
      point: sum(from.point, a, p[0], b, p[1]),
      axis: unit(sum(from.axis, a, p[2], b, p[3])),
      shape: Array.from(p).slice(4),
    });
    const minimum = minimiseSquares({
      count: points.count,
      start: [0, 0, 0, 0, ...from.shape],
      scale: [1, 1, 1, 1, ...from.shape.map(() => 1)],
      mostIterations: MOST_STEPS,
      residuals: (p, target) => surfaceDistances(points, at(p), distance, target),
    });
    const found = at(minimum.parameters);
    const slope = Math.hypot(minimum.parameters[2], minimum.parameters[3]);
    if (slope < SMALL_SLOPE || round === MOST_ROUNDS) return { ...found, a, b, minimum };
    from = found;
  }
}

/**
 * The lowest of the minima that the starts lead to.
 *
 * @param surface  its name, for the message
 * @throws {RangeError} when no start leads to a proven minimum
 */
export function lowestMinimum(points: UnitPoints, starts: readonly Revolved[], distance: ProfileDistance, surface: string): RevolvedFit {
  let best: RevolvedFit | undefined;
  let cause = 'from no direction do they look like one';
  for (const start of starts) {
    try {
      const found = refineRevolved(points, start, distance);
      if (best === undefined || found.minimum.rss < best.minimum.rss) best = found;
    } catch (error) {
      if (!(error instanceof RangeError)) throw error;
      cause = error.message;
    }
  }
  if (best === undefined) throw new RangeError(`the points do not carry a ${surface}: ${cause}`);
  return best;
}

/** Σ w distance² of a surface of revolution. */
export function sumOfSquares(points: UnitPoints, surface: Revolved, distance: ProfileDistance): number {
  const d = new Float64Array(points.count);
  surfaceDistances(points, surface, distance, d);
  return d.reduce((s, v) => s + v * v, 0);
}

/** Weighted distances of the points from a surface of revolution into `target`. */
function surfaceDistances(points: UnitPoints, surface: Revolved, distance: ProfileDistance, target: Float64Array): void {
  const { point, axis, shape } = surface;
  for (let i = 0; i < points.count; i++) {
    const x = points.xyz[3 * i] - point[0];
    const y = points.xyz[3 * i + 1] - point[1];
    const z = points.xyz[3 * i + 2] - point[2];
    const along = x * axis[0] + y * axis[1] + z * axis[2];
    const cx = y * axis[2] - z * axis[1];
    const cy = z * axis[0] - x * axis[2];
    const cz = x * axis[1] - y * axis[0];
    target[i] = points.root[i] * distance(Math.sqrt(cx * cx + cy * cy + cz * cz), along, shape);
  }
}

/** Height along the axis, from its point, at which it passes nearest to the centroid of the points. */
export function heightOfCentroid(surface: Revolved): number {
  return -dot(surface.point, surface.axis);
}

function sum(p: Vec3, a: Vec3, s: number, b: Vec3, t: number): Vec3 {
  return [p[0] + s * a[0] + t * b[0], p[1] + s * a[1] + t * b[1], p[2] + s * a[2] + t * b[2]];
}
