import { median } from '../../numerics/statistics.ts';
import { NormalEquations } from '../../numerics/normal-equations.ts';
import type { Workpiece } from '../family.ts';
import type { BoardPoints } from './board-points.ts';
import { WARPED_TERMS } from './choose-terms.ts';
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
  /** Whether only a model for a warped neck takes up the whole board. */
  readonly warped: boolean;
  /** The model that follows the board most closely: for what stands at its ends. */
  readonly atEnds: Height;
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

/** A warped board is believed when it takes up this much more of the surface that faces up there: waves of a scanner are trimmed from the plain one in no such share. */
const MORE_SURFACE = 1.02;
/** Nut and end are looked for at its height, too, where its members scatter by so much less: a little warp lifts the plain model off the board at the nut. */
const CLOSER = 0.9;

/**
 * The points of the playing surface: trimmed least squares of the plan's terms, weighted by area; with terms for a warped neck where the plan's leave out a part of the board
 * that those take up.
 */
export function findSurfaceMembers(
  points: BoardPoints,
  work: Workpiece,
  plan: SurfacePlan,
  bounds: SurfaceBounds,
  start: Height,
): SurfaceMembers | undefined {
  const candidates = collect(points, plan, bounds);
  const plain = trimmed(points, work, plan, candidates, start);
  const warped = trimmed(points, work, { ...plan, terms: WARPED_TERMS }, candidates, start);
  if (plain === undefined) return undefined;
  const isWarped = warped !== undefined && areaOf(points, warped.members) > MORE_SURFACE * areaOf(points, plain.members);
  const fitsCloser = warped !== undefined && warped.scatter < CLOSER * plain.scatter;
  return { ...(isWarped ? warped : plain), warped: isWarped, atEnds: isWarped || fitsCloser ? warped.height : plain.height };
}

type Trimmed = Omit<SurfaceMembers, 'warped' | 'atEnds'>;

const areaOf = (points: BoardPoints, members: Int32Array): number => members.reduce((sum, i) => sum + points.area[i], 0);

function trimmed(points: BoardPoints, work: Workpiece, plan: SurfacePlan, candidates: Int32Array, start: Height): Trimmed | undefined {
  let height = start;
  let members = candidates;
  let scatter = Math.max(work.sigma, 0.02);
  for (let round = 0; round < TOLERANCES.length + TRIM_ROUNDS; round++) {
    const fixed = Math.max((TOLERANCES[round] ?? 0) * work.size, 4 * work.sigma);
    const above = round < TOLERANCES.length ? fixed : ABOVE * scatter;
    const below = round < TOLERANCES.length ? fixed : Math.max(BELOW * scatter, FACET_DEPTH * work.size);
    members = between(points, candidates, height, above, below);
    if (members.length < 2 * surfaceColumns(plan)) return undefined;
    const fitted = fit(points, plan, members);
    if (fitted === undefined) return undefined;
    height = fitted;
    scatter = Math.max(0.5 * work.sigma, 1.4826 * medianDistance(points, members, fitted), 0.005);
  }
  return { members, height, scatter };
}

function between(points: BoardPoints, candidates: Int32Array, height: Height, above: number, below: number): Int32Array {
  const kept = new Int32Array(candidates.length);
  let count = 0;
  for (const i of candidates) {
    const h = points.z[i] - height(points.x[i], points.y[i]);
    if (h < above && h > -below) kept[count++] = i;
  }
  return kept.subarray(0, count);
}

/** Median distance of members from the surface, mm, from points at even steps. */
function medianDistance(points: BoardPoints, members: Int32Array, height: Height): number {
  const step = evenStep(members);
  const distances = new Float64Array(Math.ceil(members.length / step));
  for (let k = 0; k < distances.length; k++) {
    const i = members[k * step];
    distances[k] = Math.abs(points.z[i] - height(points.x[i], points.y[i]));
  }
  return median(distances);
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
const evenStep = (members: Int32Array): number => Math.max(1, Math.floor(members.length / ENOUGH_POINTS));

function fit(points: BoardPoints, plan: SurfacePlan, members: Int32Array): Height | undefined {
  const equations = new NormalEquations(surfaceColumns(plan));
  const row = new Float64Array(surfaceColumns(plan));
  const step = evenStep(members);
  for (let k = 0; k < members.length; k += step) {
    const i = members[k];
    surfaceRow(plan, points.x[i], points.y[i], row);
    equations.add(row, points.z[i] - surfaceBase(plan, points.x[i], points.y[i]), points.area[i]);
  }
  const solved = solveIfDetermined(equations);
  return solved && heightFunction(plan, solved.coefficients);
}
