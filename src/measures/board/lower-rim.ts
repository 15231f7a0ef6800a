import { NormalEquations } from '../../numerics/normal-equations.ts';
import { median, quantile } from '../../numerics/statistics.ts';
import type { BoardLine, Workpiece } from '../family.ts';
import type { BoardPoints } from './board-points.ts';
import { SIGN, type SideFace, type SideName } from './side-faces.ts';
import { trackSide } from './track-side.ts';
import { solveIfDetermined } from './solve-if-determined.ts';

/** The underside beside one side face, on the free part of the board: height over the board plane = a + b·x + c·inward. */
export interface LowerRim {
  readonly a: number;
  readonly b: number;
  readonly c: number;
  readonly members: Int32Array;
  /** Standard uncertainty of its height at the joint, mm, for what is not seen of it there: an arris is not quite straight. */
  readonly u: number;
}

/** Where the free board begins, mm × size beyond the joint, and how far before its end it stops, mm (the definition's). */
export const FREE_FROM = 8;
export const FREE_TO = 2;
/** |n·z| of the rim. */
const DOWNWARD = 0.7;
/**
 * Distances inward of the side face at which the rim is taken, mm × size^0.6 (roundings and rims of big instruments are wider, but not in proportion): from
 * inside a rounded lower arris to where a narrow rim may end. Points up to each of the wider limits join only where they lie in line with the narrower rim:
 * behind it the hollow begins, on some boards with a kink.
 */
const INWARD = { from: 0.4, to: [1.1, 1.5, 2, 2.6] } as const;
const ROUNDING_POWER = 0.6;
/**
 * Slope across of a rim, standard: the underside is planed flat before it is hollowed, so its rims lie level to about 3°. Carries where a rim is too narrow
 * or a scan too coarse to show it.
 */
export const RIM_LEVEL = 0.05;
/** |n·y| of the side, and how far its points may lie from its face, mm × size. */
const SIDEWAYS = 0.7;
const BESIDE = 0.8;
/** Depths below the upper arris at which a lower arris can lie, mm × size: 4 to 6 on usual boards, 11 on the wedges of early sets. */
const DEPTH = { from: 1.6, to: 14 } as const;
/** Slopes of the rim against the board plane. */
const SLOPES = { from: -0.06, to: 0.06, step: 0.002 } as const;
const CELL_X = 3;
const CELL_IN = 0.8;
const BIN_Z = 0.4;
/** Share of the free length along which the rim is seen. */
const LEAST_LENGTH = 0.25;
const TOLERANCES = [0.7, 0.45, 0.3, 0.25, 0.25];
const NOISE_BAND = 3.5;
const LEAST_POINTS = 8;
/** Heights of the lower arris by a narrower and a wider rim that differ by less agree, mm × size. */
const IN_LINE = 0.01;
/** The side face must end where the rim begins: share of rim bins that have side points just above, and share of side points below. */
const LEAST_MEETING = 0.4;
const MOST_BELOW = 0.12;
/** A side comes down to its rim within this, mm × size and in spacings; the top under a low board lies 2 mm and more below the end of its side. */
const MEETS = 1.2;
const MEETS_SPACINGS = 1.1;

interface Rows {
  readonly index: Int32Array;
  readonly height: Float64Array;
  readonly inward: Float64Array;
  /** Distance inward of the lower arris itself, the side's lean taken into account, mm. */
  readonly fromArris: Float64Array;
}

export function findLowerRim(
  side: SideName,
  points: BoardPoints,
  work: Workpiece,
  face: SideFace,
  plane: BoardLine,
  arrisHeight: (x: number) => number,
  endX: number,
): LowerRim | undefined {
  const from = FREE_FROM * work.size;
  const to = endX - FREE_TO;
  if (!(to - from > 20 * work.size)) return undefined;
  const outside = trackSide(side, points, work, face, arrisHeight);
  const ends = sideEnds(side, points, work, face, arrisHeight, outside);
  const all = besideSide(collect(side, points, work, face, plane, arrisHeight, outside, from, to), points, work, ends);
  const scale = work.size ** ROUNDING_POWER;
  const [narrow, ...wider] = INWARD.to.map((furthest) => narrowed(all, furthest * scale));
  const line = mostSupportedLine(narrow, points, work);
  if (line === undefined || line.length < LEAST_LENGTH * (to - from)) return undefined;
  let rim = refine(narrow, points, work, { a: line.a, b: line.b, c: 0 });
  if (rim === undefined || !meetsSide(side, points, work, face, plane, outside, rim, rim.members)) return undefined;
  for (const rows of wider) {
    const next = refine(rows, points, work, rim);
    if (next === undefined || !agree(rim, next, [from, (from + to) / 2, to], IN_LINE * work.size)) break;
    rim = next;
  }
  return isParallel(rim, ends, plane, work, from, to) ? { ...rim, u: unseenU(rim, points, work, from, to) } : undefined;
}

/** Whether the side comes down to the rim alike all along: what crosses its end line is something else, or a few points of a hollow. */
function isParallel(
  rim: FittedRim,
  ends: ReadonlyMap<number, number>,
  plane: BoardLine,
  work: Workpiece,
  from: number,
  to: number,
): boolean {
  const bin = endBin(work);
  const over = [...ends]
    .map(([b, z]) => ({ x: (b + 0.5) * bin, z }))
    .filter(({ x }) => x > from && x < to)
    .sort((p, q) => p.x - q.x)
    .map(({ x, z }) => z - plane.z0 - plane.slope * x - rim.a - rim.b * x);
  const third = Math.floor(over.length / 3);
  if (third < 2) return true;
  const apart = Math.abs(median(over.slice(0, third)) - median(over.slice(-third)));
  return apart < NOT_PARALLEL * work.size + NOT_PARALLEL_SPACINGS * work.spacing;
}

function unseenU(rim: FittedRim, points: BoardPoints, work: Workpiece, from: number, to: number): number {
  const first = quantile(
    Array.from(rim.members, (i) => points.x[i]),
    FIRST,
  );
  return UNSEEN_U * work.size * Math.max(0, (first - from) / (to - from) - UNSEEN);
}

/** How far the side's lower end may come nearer to the rim, or leave it, from one third of the board to another; mm × size and spacings. */
const NOT_PARALLEL = 0.25;
const NOT_PARALLEL_SPACINGS = 0.4;
/** Share of the free length near the joint over which the rim may be unseen at no cost; what each further share costs, mm × size; where its members begin. */
const UNSEEN = 0.15;
const UNSEEN_U = 0.25;
const FIRST = 0.05;
/** Length along the board of the bins in which a side's lower end is looked for, mm × size and spacings. */
const END_BIN = 6;
const END_BIN_SPACINGS = 2;
const endBin = (work: Workpiece): number => Math.max(END_BIN * work.size, END_BIN_SPACINGS * work.spacing);

/** Lowest z of the side in each bin along the board. */
function sideEnds(
  side: SideName,
  points: BoardPoints,
  work: Workpiece,
  face: SideFace,
  arrisHeight: (x: number) => number,
  outside: (x: number) => number,
): ReadonlyMap<number, number> {
  const ends = new Map<number, number>();
  const bin = endBin(work);
  for (let i = 0; i < points.count; i++) {
    const x = points.x[i];
    if (Math.abs(points.ny[i]) < SIDEWAYS) continue;
    const depth = arrisHeight(x) - points.z[i];
    if (depth < DEPTH.from * work.size || depth > DEPTH.to * work.size) continue;
    const w = inwardOf(side, face, x, points.y[i]) + outside(x) + SIGN[side] * face.lean * depth;
    if (Math.abs(w) > BESIDE * work.size) continue;
    const b = Math.floor(x / bin);
    ends.set(b, Math.min(ends.get(b) ?? Number.POSITIVE_INFINITY, points.z[i]));
  }
  return ends;
}

/** Rows no lower than the side comes down: under a low board lies the top, larger than any rim. */
function besideSide(rows: Rows, points: BoardPoints, work: Workpiece, ends: ReadonlyMap<number, number>): Rows {
  const bin = endBin(work);
  const near = Math.max(MEETS * work.size, MEETS_SPACINGS * work.spacing);
  return kept(rows, (k) => {
    const i = rows.index[k];
    const end = ends.get(Math.floor(points.x[i] / bin));
    return end !== undefined && points.z[i] > end - near;
  });
}

/** Whether the wider rim gives the heights of the narrower one, to what chance lets them differ by. */
function agree(narrow: FittedRim, wide: FittedRim, places: readonly number[], least: number): boolean {
  return places.every((x) => {
    const chance = Math.sqrt(Math.max(0, narrow.uncertainty(x) ** 2 - wide.uncertainty(x) ** 2));
    return Math.abs(wide.a + wide.b * x - narrow.a - narrow.b * x) < Math.max(least, chance);
  });
}

interface FittedRim extends Omit<LowerRim, 'u'> {
  /** Standard uncertainty of the lower arris's height at x, from white noise, mm. */
  readonly uncertainty: (x: number) => number;
}

const narrowed = (rows: Rows, furthest: number): Rows => kept(rows, (k) => rows.fromArris[k] <= furthest);

function kept(rows: Rows, wanted: (k: number) => boolean): Rows {
  const keep = Array.from(rows.index.keys()).filter(wanted);
  return {
    index: Int32Array.from(keep, (k) => rows.index[k]),
    height: Float64Array.from(keep, (k) => rows.height[k]),
    inward: Float64Array.from(keep, (k) => rows.inward[k]),
    fromArris: Float64Array.from(keep, (k) => rows.fromArris[k]),
  };
}

/** Trimmed least squares of height = a + b·x + c·inward. */
function refine(rows: Rows, points: BoardPoints, work: Workpiece, start: { a: number; b: number; c: number }): FittedRim | undefined {
  let rim = start;
  let members: number[] = [];
  let cofactor = new Float64Array(9);
  let scatter = work.sigma;
  for (const t of TOLERANCES) {
    const tolerance = Math.max(t * work.size, NOISE_BAND * work.sigma);
    const now = rim;
    members = Array.from(rows.index.keys()).filter(
      (k) => Math.abs(rows.height[k] - now.a - now.b * points.x[rows.index[k]] - now.c * rows.inward[k]) < tolerance,
    );
    if (members.length < LEAST_POINTS) return undefined;
    const equations = new NormalEquations(3);
    for (const k of members) equations.add([1, points.x[rows.index[k]], rows.inward[k]], rows.height[k]);
    equations.add([0, 0, 1], 0, (scatter / RIM_LEVEL) ** 2);
    const fit = solveIfDetermined(equations);
    if (fit === undefined) return undefined;
    const [a, b, c] = fit.coefficients;
    rim = { a, b, c };
    cofactor = Float64Array.from(fit.cofactor);
    scatter = Math.max(work.sigma, Math.sqrt(fit.rss / Math.max(1, fit.dof)));
  }
  const uncertainty = (x: number): number => scatter * Math.sqrt(cofactor[0] + 2 * x * cofactor[1] + x * x * cofactor[4]);
  return { ...rim, members: Int32Array.from(members, (k) => rows.index[k]), uncertainty };
}

export const inwardOf = (side: SideName, face: { y0: number; slope: number }, x: number, y: number): number =>
  -SIGN[side] * (y - face.y0 - face.slope * x);

function collect(
  side: SideName,
  points: BoardPoints,
  work: Workpiece,
  face: SideFace,
  plane: BoardLine,
  arrisHeight: (x: number) => number,
  outside: (x: number) => number,
  from: number,
  to: number,
): Rows {
  const { size } = work;
  const scale = size ** ROUNDING_POWER;
  const index: number[] = [];
  const height: number[] = [];
  const inward: number[] = [];
  const fromArris: number[] = [];
  for (let i = 0; i < points.count; i++) {
    const x = points.x[i];
    if (x < from || x > to) continue;
    if (Math.abs(points.nz[i]) < DOWNWARD) continue;
    const d = arrisHeight(x) - points.z[i];
    if (d < DEPTH.from * size || d > DEPTH.to * size) continue;
    const v = inwardOf(side, face, x, points.y[i]) + outside(x);
    const w = v + SIGN[side] * face.lean * d;
    if (w < INWARD.from * scale || w > INWARD.to[INWARD.to.length - 1] * scale) continue;
    fromArris.push(w);
    index.push(i);
    height.push(points.z[i] - plane.z0 - plane.slope * x);
    inward.push(v);
  }
  return {
    index: Int32Array.from(index),
    height: Float64Array.from(height),
    inward: Float64Array.from(inward),
    fromArris: Float64Array.from(fromArris),
  };
}

function mostSupportedLine(rows: Rows, points: BoardPoints, work: Workpiece): { a: number; b: number; length: number } | undefined {
  const cellX = Math.max(CELL_X * work.size, 1.2 * work.spacing);
  const cellIn = Math.max(CELL_IN * work.size, 1.2 * work.spacing);
  const bin = Math.max(BIN_Z * work.size, 2 * work.sigma);
  const votes = new Map<number, number>();
  rows.index.forEach((i, k) => {
    const key =
      (Math.floor(points.x[i] / cellX) + 512) * 1048576 +
      Math.floor(rows.inward[k] / cellIn) * 8192 +
      Math.round(rows.height[k] / bin) +
      4096;
    if (!votes.has(key)) votes.set(key, k);
  });
  const picked = [...votes.values()];
  let best = 0;
  let line: { a: number; b: number; length: number } | undefined;
  for (let slope = SLOPES.from; slope <= SLOPES.to; slope += SLOPES.step) {
    const counts = new Map<number, Set<number>>();
    const sizes = new Map<number, number>();
    for (const k of picked) {
      const x = points.x[rows.index[k]];
      const b = Math.round((rows.height[k] - slope * x) / bin);
      sizes.set(b, (sizes.get(b) ?? 0) + 1);
      const set = counts.get(b);
      if (set === undefined) counts.set(b, new Set([Math.floor(x / cellX)]));
      else set.add(Math.floor(x / cellX));
    }
    for (const [b, n] of sizes) {
      const support = n + (sizes.get(b - 1) ?? 0) + (sizes.get(b + 1) ?? 0);
      if (support <= best) continue;
      best = support;
      const bins = new Set([...(counts.get(b) ?? []), ...(counts.get(b - 1) ?? []), ...(counts.get(b + 1) ?? [])]);
      line = { a: b * bin, b: slope, length: bins.size * cellX };
    }
  }
  return line;
}

/** What lies under the board (the top plate) is never met by the board's side: that tells a rim from it. */
function meetsSide(
  side: SideName,
  points: BoardPoints,
  work: Workpiece,
  face: SideFace,
  plane: BoardLine,
  outside: (x: number) => number,
  rim: { a: number; b: number },
  members: Int32Array,
): boolean {
  const { size } = work;
  const bin = Math.max(6 * size, 2 * work.spacing);
  const rimBins = new Set(Array.from(members, (i) => Math.floor(points.x[i] / bin)));
  const near = Math.max(MEETS * size, MEETS_SPACINGS * work.spacing);
  const meeting = new Set<number>();
  let above = 0;
  let below = 0;
  for (let i = 0; i < points.count; i++) {
    const b = Math.floor(points.x[i] / bin);
    if (!rimBins.has(b) || Math.abs(points.ny[i]) < SIDEWAYS) continue;
    if (Math.abs(inwardOf(side, face, points.x[i], points.y[i]) + outside(points.x[i])) > BESIDE * size) continue;
    const h = points.z[i] - plane.z0 - plane.slope * points.x[i] - rim.a - rim.b * points.x[i];
    if (h > 0 && h < near) {
      above++;
      meeting.add(b);
    } else if (h < -0.7 * size - 4 * work.sigma && h > -5 * size) below++;
  }
  return meeting.size >= LEAST_MEETING * rimBins.size && below <= MOST_BELOW * (above + below);
}
