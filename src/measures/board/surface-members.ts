import { median } from '../../numerics/statistics.ts';
import { NormalEquations } from '../../numerics/normal-equations.ts';
import type { Workpiece } from '../family.ts';
import type { BoardPoints } from './board-points.ts';
import { type Height, heightFunction, surfaceBase, surfaceColumns, type SurfacePlan, surfaceRow } from './playing-surface.ts';
import { solveIfDetermined } from './solve-if-determined.ts';

/** Where the playing surface is looked for: along x, and across by half-width at x. */
export interface SurfaceBounds {
  readonly fromX: number;
  readonly toX: number;
  readonly half: (x: number) => number;
}

export interface SurfaceMembers {
  readonly members: Int32Array;
  readonly height: Height;
  /** Robust standard deviation of the members about the surface, mm. */
  readonly scatter: number;
}

/** |n·z| of a playing surface: at its sides it slopes by 30°, and noise turns normals further. */
const UPWARD = 0.6;
/** Distances from the surface within which points count, mm × size, round by round. */
const TOLERANCES = [0.8, 0.5, 0.35];
/** Limits in robust standard deviations: what strings and webs add lies above. Below, a facet may lie (mm × size). */
const ABOVE = 2.8;
const BELOW = 3.2;
const FACET_DEPTH = 0.15;
const TRIM_ROUNDS = 3;

/** The points of the playing surface: trimmed least squares of the plan's terms, weighted by area. */
export function findSurfaceMembers(
  points: BoardPoints,
  work: Workpiece,
  plan: SurfacePlan,
  bounds: SurfaceBounds,
  start: Height,
): SurfaceMembers | undefined {
  const candidates = collect(points, plan, bounds);
  let height = start;
  let members = candidates;
  let scatter = Math.max(work.sigma, 0.02);
  for (let round = 0; round < TOLERANCES.length + TRIM_ROUNDS; round++) {
    const fixed = Math.max((TOLERANCES[round] ?? 0) * work.size, 4 * work.sigma);
    const above = round < TOLERANCES.length ? fixed : ABOVE * scatter;
    const below = round < TOLERANCES.length ? fixed : Math.max(BELOW * scatter, FACET_DEPTH * work.size);
    members = candidates.filter((i) => {
      const h = points.z[i] - height(points.x[i], points.y[i]);
      return h < above && h > -below;
    });
    if (members.length < 2 * surfaceColumns(plan)) return undefined;
    const fitted = fit(points, plan, members);
    if (fitted === undefined) return undefined;
    height = fitted;
    const residuals = Float64Array.from(members, (i) => points.z[i] - fitted(points.x[i], points.y[i]));
    scatter = Math.max(0.5 * work.sigma, 1.4826 * median(residuals.map(Math.abs)), 0.005);
  }
  return { members, height, scatter };
}

function collect(points: BoardPoints, plan: SurfacePlan, bounds: SurfaceBounds): Int32Array {
  const found: number[] = [];
  for (let i = 0; i < points.count; i++) {
    const x = points.x[i];
    if (x < bounds.fromX || x > bounds.toX) continue;
    if (Math.abs(points.y[i] - plan.centre0 - plan.centreSlope * x) > bounds.half(x)) continue;
    if (Math.abs(points.nz[i]) > UPWARD) found.push(i);
  }
  return Int32Array.from(found);
}

/** Points that are enough for the fit that tells members from strangers: more are taken at even steps. */
const ENOUGH_POINTS = 8000;

function fit(points: BoardPoints, plan: SurfacePlan, members: Int32Array): Height | undefined {
  const equations = new NormalEquations(surfaceColumns(plan));
  const row = new Float64Array(surfaceColumns(plan));
  const step = Math.max(1, Math.floor(members.length / ENOUGH_POINTS));
  for (let k = 0; k < members.length; k += step) {
    const i = members[k];
    surfaceRow(plan, points.x[i], points.y[i], row);
    equations.add(row, points.z[i] - surfaceBase(plan, points.x[i], points.y[i]), points.area[i]);
  }
  const solved = solveIfDetermined(equations);
  return solved && heightFunction(plan, solved.coefficients);
}
