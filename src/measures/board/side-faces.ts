import { NormalEquations } from '../../numerics/normal-equations.ts';
import { median } from '../../numerics/statistics.ts';
import type { Workpiece } from '../family.ts';
import type { BoardPoints } from './board-points.ts';
import type { RoughExtent } from './rough-extent.ts';
import { solveIfDetermined } from './solve-if-determined.ts';
import type { Height } from './playing-surface.ts';

/** One side face of the board: y = y0 + slope·x + lean·depth, depth below the playing surface produced. Working frame, mm. */
export interface SideFace {
  readonly y0: number;
  readonly slope: number;
  readonly lean: number;
  /** Indices of its points among the board points. */
  readonly members: Int32Array;
  /** Where the face leaves its own straight line towards the bridge (a widened board), or +∞. */
  readonly straightTo: number;
}

export type SideName = 'bass' | 'treble';
export const SIGN: Readonly<Record<SideName, 1 | -1>> = { bass: -1, treble: 1 };

/** Depths below the playing surface at which the face is taken: below a rounded arris (mm × size^0.6), above the lower arris (mm × size). */
const FACE_DEPTH = { from: 2.3, roughFrom: 1.8, to: 4.2 } as const;
/** Stretches at nut and end that are left out, mm × size: the nut's own side, a rounded corner. */
const END_MARGIN = 2.5;
const ROUNDING_POWER = 0.6;
/** |n·y| of a side face; signs do not count, since sheets of a mesh may be wound either way. */
const SIDEWAYS = 0.8;
/** Slopes of a side line tried (outwards per mm): taper of 0.02 to 0.05 with a yaw of up to 2°. */
const SLOPES = { from: -0.03, to: 0.11, step: 0.002 } as const;
/** Votes are counted in cells: along × depth, and in bins of y; mm × size. */
const CELL_X = 3;
const CELL_DEPTH = 0.8;
const BIN_Y = 0.4;
/** Nearest and farthest y at x = 0 of a side face, mm × size. */
const REACH = { from: 7.5, to: 26 } as const;
/** Least share of the board's length along which a face is seen. */
const LEAST_LENGTH = 0.2;
const TOLERANCES = [0.9, 0.6, 0.4, 0.25, 0.2, 0.2];
const NOISE_BAND = 3.5;
const LEAST_POINTS = 12;
/** The first rounds keep to the neck and a little beyond it, body lengths: boards are widened only further up. */
const NECK_ROUNDS = 4;
const NECK_TO = 0.1;
/** Length of a bin in which the face's distance from its own line is looked at, and the distance that counts as leaving it; mm × size. */
const TRACK_BIN = 8;
const LEAVING = 0.25;

interface Candidate {
  readonly index: Int32Array;
  readonly depth: Float64Array;
}

/**
 * Finds one side face by geometry alone: the line in plan that most cells of sideways points at the right depth support.
 *
 * @param height  the playing surface, also beyond its sides
 * @param near  the face as it was found with a rougher surface, if it was
 */
export function findSideFace(
  side: SideName,
  points: BoardPoints,
  work: Workpiece,
  height: Height,
  extent: RoughExtent,
  near?: SideFace,
): SideFace | undefined {
  const sign = SIGN[side];
  const candidates = collect(sign, points, work, height, extent, near);
  const line = near ?? mostSupportedLine(sign, candidates, points, work, extent);
  if (line === undefined) return undefined;
  let face: Line = { y0: line.y0, slope: line.slope, lean: near?.lean ?? 0 };
  let straightTo = Number.POSITIVE_INFINITY;
  let members = new Int32Array(0);
  for (let round = 0; round < TOLERANCES.length; round++) {
    const tolerance = Math.max(TOLERANCES[round] * work.size, NOISE_BAND * work.sigma);
    const limit = round < NECK_ROUNDS ? NECK_TO * work.bodyLength : straightTo;
    const now = face;
    const near = (k: number, to: number): boolean => {
      const i = candidates.index[k];
      return points.x[i] < to && Math.abs(points.y[i] - now.y0 - now.slope * points.x[i] - now.lean * candidates.depth[k]) < tolerance;
    };
    const within = candidates.index.filter((_, k) => near(k, limit));
    members = within.length < LEAST_POINTS ? candidates.index.filter((_, k) => near(k, straightTo)) : within;
    const refined = refine(members, points, height);
    if (refined === undefined) return undefined;
    face = refined;
    straightTo = leavesLine(sign, candidates, points, work, face);
  }
  return { ...face, members: withWidened(sign, members, candidates, points, work, straightTo, face), straightTo };
}

interface Line {
  readonly y0: number;
  readonly slope: number;
  readonly lean: number;
}

function collect(
  sign: number,
  points: BoardPoints,
  work: Workpiece,
  height: Height,
  extent: RoughExtent,
  near: SideFace | undefined,
): Candidate {
  const { size } = work;
  const from = (near === undefined ? FACE_DEPTH.roughFrom : FACE_DEPTH.from) * size ** ROUNDING_POWER;
  const first = extent.nutX + END_MARGIN * size;
  const last = extent.endX - END_MARGIN * size;
  const index: number[] = [];
  const depth: number[] = [];
  for (let i = 0; i < points.count; i++) {
    const x = points.x[i];
    const out = sign * points.y[i];
    if (x < first || x > last || out < 0.4 * REACH.from * size || out > 1.4 * REACH.to * size) continue;
    if (Math.abs(points.ny[i]) < SIDEWAYS) continue;
    const d = height(x, points.y[i]) - points.z[i];
    if (d < from || d > FACE_DEPTH.to * size) continue;
    index.push(i);
    depth.push(d);
  }
  return { index: Int32Array.from(index), depth: Float64Array.from(depth) };
}

function mostSupportedLine(
  sign: number,
  candidates: Candidate,
  points: BoardPoints,
  work: Workpiece,
  extent: RoughExtent,
): { y0: number; slope: number } | undefined {
  const { size } = work;
  const cellX = Math.max(CELL_X * size, 1.2 * work.spacing);
  const cellD = Math.max(CELL_DEPTH * size, 1.2 * work.spacing);
  const bin = Math.max(BIN_Y * size, work.sigma * 2);
  const votes = new Map<number, number>();
  candidates.index.forEach((i, k) => {
    const key =
      (Math.floor(points.x[i] / cellX) + 512) * 1048576 +
      Math.floor(candidates.depth[k] / cellD) * 8192 +
      Math.round(points.y[i] / bin) +
      4096;
    if (!votes.has(key)) votes.set(key, i);
  });
  const picked = [...votes.values()];
  let best = 0;
  let line: { y0: number; slope: number } | undefined;
  for (let s = SLOPES.from; s <= SLOPES.to; s += SLOPES.step) {
    const slope = sign * s;
    const counts = new Map<number, number>();
    for (const i of picked) {
      const b = Math.round((points.y[i] - slope * points.x[i]) / bin);
      counts.set(b, (counts.get(b) ?? 0) + 1);
    }
    for (const [b, n] of counts) {
      const out = sign * b * bin;
      if (out < REACH.from * size || out > REACH.to * size) continue;
      const support = n + (counts.get(b - 1) ?? 0) + (counts.get(b + 1) ?? 0);
      if (support > best) {
        best = support;
        line = { y0: b * bin, slope };
      }
    }
  }
  return best * cellX >= LEAST_LENGTH * (extent.endX - extent.nutX) ? line : undefined;
}

function refine(members: Int32Array, points: BoardPoints, height: Height): Line | undefined {
  if (members.length < LEAST_POINTS) return undefined;
  const equations = new NormalEquations(3);
  const row = Float64Array.of(1, 0, 0);
  for (const i of members) {
    row[1] = points.x[i];
    row[2] = height(points.x[i], points.y[i]) - points.z[i];
    equations.add(row, points.y[i], points.area[i]);
  }
  const fit = solveIfDetermined(equations);
  if (fit === undefined) return undefined;
  const [y0, slope, lean] = fit.coefficients;
  return { y0, slope, lean };
}

/** The x from which on every bin lies outside the straight line: +∞ for a board with straight sides. */
function leavesLine(sign: number, candidates: Candidate, points: BoardPoints, work: Workpiece, face: Line): number {
  const bin = Math.max(TRACK_BIN * work.size, 1.5 * work.spacing);
  const bins = new Map<number, number[]>();
  candidates.index.forEach((i, k) => {
    const out = sign * (points.y[i] - face.y0 - face.slope * points.x[i] - face.lean * candidates.depth[k]);
    const b = Math.floor(points.x[i] / bin);
    const list = bins.get(b);
    if (list === undefined) bins.set(b, [out]);
    else list.push(out);
  });
  const threshold = Math.max(LEAVING * work.size, 3 * work.sigma);
  let from = Number.POSITIVE_INFINITY;
  for (const b of [...bins.keys()].sort((p, q) => q - p)) {
    if (median(bins.get(b) as number[]) < threshold) break;
    from = b * bin;
  }
  return from;
}

/** How far a widened side may lie outside its own straight line, and inside it for noise, mm × size: what lies farther in are strings. */
const WIDENED = { out: 8, in: 0.8 } as const;

function withWidened(
  sign: number,
  members: Int32Array,
  candidates: Candidate,
  points: BoardPoints,
  work: Workpiece,
  straightTo: number,
  face: Line,
): Int32Array {
  if (!Number.isFinite(straightTo)) return members;
  const inward = Math.max(WIDENED.in * work.size, NOISE_BAND * work.sigma);
  const widened = candidates.index.filter((i) => {
    const out = sign * (points.y[i] - face.y0 - face.slope * points.x[i]);
    return points.x[i] >= straightTo && out > -inward && out < WIDENED.out * work.size;
  });
  return Int32Array.from([...members, ...widened]);
}
