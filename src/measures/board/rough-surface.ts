import { NormalEquations } from '../../numerics/normal-equations.ts';
import type { Workpiece } from '../family.ts';
import type { BoardPoints } from './board-points.ts';
import { solveIfDetermined } from './solve-if-determined.ts';

/**
 * The playing surface, roughly: z = a + b·x + c·x² + … + (d + e·x)·y − y²/(2·radius) + … with the circle in place of its parabola. Working frame, mm.
 */
export interface RoughSurface {
  readonly coefficients: Float64Array;
  readonly radius: number;
}

/** Usual radius of a violin's board, mm, and the power of the size with which it grows over the family (cello 62, bass 85). */
const USUAL_RADIUS = 42;
const RADIUS_POWER = 0.55;
export const usualRadius = (size: number): number => USUAL_RADIUS * size ** RADIUS_POWER;

/** Height of a circle of `radius` below its crown at `y`; beyond the circle, that of its parabola. */
export const sagitta = (y: number, radius: number): number => {
  const r2 = radius * radius;
  return y * y < r2 ? radius - Math.sqrt(r2 - y * y) : (y * y) / (2 * radius);
};

export function roughHeight(s: RoughSurface, x: number, y: number): number {
  const c = s.coefficients;
  return (
    c[0] +
    x * (c[1] + x * (c[2] + x * (c[3] + x * (c[9] + x * c[10])))) +
    y * (c[4] + x * (c[5] + x * c[6])) +
    (c[7] + c[8] * x) * y * y -
    sagitta(y, s.radius)
  );
}

/** Half-width of the strip about y = 0 in which the board is searched: within every board, also a yawed one. mm × size. */
const STRIP = 8;
/** Cells of the search, mm × size: along, across, and in height. */
const CELL_X = 4;
const CELL_Y = 2;
const CELL_Z = 0.5;
/** |n·z| above which a point can belong to a playing surface seen at ±8 mm of its middle. */
const UPWARD = 0.75;
/** Slopes tried (rise per mm), covering every neck angle from −3° to 17°; the step moves the far end by half a cell. */
const SLOPES = { from: -0.05, to: 0.3, step: 0.004 } as const;
/** Least number of cells that hold up a board: a quarter of those of a board 0.5 body lengths long. */
const LEAST_SHARE = 0.12;

interface Votes {
  readonly x: Float64Array;
  readonly height: Float64Array;
  readonly cells: number;
}

/** One vote for each cell of the strip that holds a point with upright normal; heights have the usual crown taken out. */
function collectVotes(points: BoardPoints, work: Workpiece, strip: Uint32Array): Votes {
  const { size, spacing } = work;
  const cellX = Math.max(CELL_X * size, 1.2 * spacing);
  const cellY = Math.max(CELL_Y * size, 1.2 * spacing);
  const cellZ = CELL_Z * size;
  const radius = usualRadius(size);
  const seen = new Set<number>();
  const x: number[] = [];
  const height: number[] = [];
  for (const i of strip) {
    const h = points.z[i] + sagitta(points.y[i], radius);
    const key =
      (Math.floor(points.x[i] / cellX) + 512) * 1048576 + (Math.floor(points.y[i] / cellY) + 64) * 8192 + Math.floor(h / cellZ) + 4096;
    if (seen.has(key)) continue;
    seen.add(key);
    x.push(points.x[i]);
    height.push(h);
  }
  const across = Math.max(1, Math.round((2 * STRIP * size) / cellY));
  return { x: Float64Array.from(x), height: Float64Array.from(height), cells: (across * work.bodyLength) / cellX };
}

/** Signs do not count: a mesh may be turned inside out. */
const facesUp = (nz: number): boolean => Math.abs(nz) > UPWARD;

interface SupportedLine {
  readonly z0: number;
  readonly slope: number;
  /** Cells that hold it up. */
  readonly support: number;
}

/** The line in the xz plane that most cells support, or nothing; not that of strings or webs over a board. */
function mostSupportedLine(votes: Votes, size: number): SupportedLine | undefined {
  const best = bestLine(votes, size, SLOPES, Number.POSITIVE_INFINITY);
  return best !== undefined && best.support >= LEAST_SHARE * votes.cells ? (lineBeneath(votes, size, best) ?? best) : undefined;
}

function bestLine(
  votes: Votes,
  size: number,
  slopes: { from: number; to: number; step: number },
  below: number,
): SupportedLine | undefined {
  const bin = CELL_Z * size;
  let best: SupportedLine | undefined;
  for (let slope = slopes.from; slope <= slopes.to; slope += slopes.step) {
    const counts = new Map<number, number>();
    for (let i = 0; i < votes.x.length; i++) {
      const b = Math.round((votes.height[i] - slope * votes.x[i]) / bin);
      counts.set(b, (counts.get(b) ?? 0) + 1);
    }
    for (const [b, n] of counts) {
      const support = n + (counts.get(b - 1) ?? 0) + (counts.get(b + 1) ?? 0);
      if (b * bin < below && support > (best?.support ?? 0)) best = { z0: b * bin, slope, support };
    }
  }
  return best;
}

/**
 * Strings and webs between them follow a board at 0.4 to 9 mm (a violin's nut, a bass's board end) and may be seen better than it. What lies beneath them on the
 * neck's side of the joint, nearly parallel, can only be the board: the underside of its free part and the top are seen beyond the joint alone.
 */
const BENEATH = { from: 1.2, to: 9, tilt: 0.024, share: 0.35 } as const;

function lineBeneath(votes: Votes, size: number, line: SupportedLine): SupportedLine | undefined {
  const before = onNeckSide(votes, (h) => h < line.z0 - BENEATH.from * size && h > line.z0 - BENEATH.to * size, line.slope);
  const slopes = { from: line.slope - BENEATH.tilt, to: line.slope + BENEATH.tilt, step: SLOPES.step };
  const found = bestLine(before, size, slopes, line.z0);
  if (found === undefined) return undefined;
  const own = onNeckSide(votes, (h) => Math.abs(h - line.z0) <= 1.5 * CELL_Z * size, line.slope).x.length;
  return found.support >= BENEATH.share * own ? found : undefined;
}

/** Votes on the neck's side of the joint whose height, carried to the joint along a slope, is as asked. */
function onNeckSide(votes: Votes, wanted: (atJoint: number) => boolean, slope: number): Votes {
  const keep = Array.from(votes.x.keys()).filter((i) => votes.x[i] < 0 && wanted(votes.height[i] - slope * votes.x[i]));
  return { x: Float64Array.from(keep, (i) => votes.x[i]), height: Float64Array.from(keep, (i) => votes.height[i]), cells: votes.cells };
}

/** Distance to the surface within which points are taken, mm × size, round by round: from the scoop's depth down to some noise. */
const TOLERANCES = [1.3, 1, 0.8, 0.6, 0.5, 0.5, 0.5];
/** The tolerance never falls below this many standard deviations of the noise. */
const NOISE_BAND = 4;
/** Least share of body length over which the board must be seen to both sides of the joint: nothing else does that. */
const LEAST_BEYOND_JOINT = 0.06;

/**
 * Finds the playing surface: the line through the strip about the centreline that most cells support, then a smooth surface refined by
 * trimmed least squares weighted by area.
 *
 * @returns the surface, or `undefined` when nothing in the scan is shaped like a board
 */
export function findRoughSurface(points: BoardPoints, work: Workpiece): RoughSurface | undefined {
  const strip = stripOf(points, work);
  const line = mostSupportedLine(collectVotes(points, work, strip), work.size);
  if (line === undefined) return undefined;
  let surface: RoughSurface = {
    coefficients: Float64Array.of(line.z0, line.slope, 0, 0, 0, 0, 0, 0, 0, 0, 0),
    radius: usualRadius(work.size),
  };
  for (let round = 0; round < TOLERANCES.length; round++) {
    const tolerance = Math.max(TOLERANCES[round] * work.size, NOISE_BAND * work.sigma);
    const refined = refine(points, work, surface, strip, tolerance, round < 2);
    if (refined === undefined) return undefined;
    surface = refined;
  }
  return isBoardShaped(points, work, surface, strip) ? surface : undefined;
}

/**
 * Powers of x and y of the columns 1, x, x², x³, y, x·y, x²·y, y², x·y², x⁴, x⁵; the first rounds hold all but `FIRST_COLUMNS` at zero. The highest are for a neck that
 * warped and took its part of the board along.
 */
const POWERS = [0, 1, 2, 3, 1, 2, 3, 2, 3, 4, 5];
const FIRST_COLUMNS = [0, 1, 2, 4];
const ALL_COLUMNS = [0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10];
/** Points that are enough for a rough fit: more are taken at even steps. */
const ENOUGH_POINTS = 6000;

function refine(
  points: BoardPoints,
  work: Workpiece,
  surface: RoughSurface,
  strip: Uint32Array,
  tolerance: number,
  first: boolean,
): RoughSurface | undefined {
  const columns = first ? FIRST_COLUMNS : ALL_COLUMNS;
  const scale = work.bodyLength;
  const equations = new NormalEquations(columns.length);
  const all = new Float64Array(11);
  const row = new Float64Array(columns.length);
  const step = Math.max(1, Math.floor(strip.length / ENOUGH_POINTS));
  for (let k = 0; k < strip.length; k += step) {
    const i = strip[k];
    if (Math.abs(points.z[i] - roughHeight(surface, points.x[i], points.y[i])) > tolerance) continue;
    fillColumns(all, points.x[i] / scale, points.y[i] / scale);
    for (let c = 0; c < columns.length; c++) row[c] = all[columns[c]];
    equations.add(row, points.z[i] + sagitta(points.y[i], surface.radius), points.area[i]);
  }
  if (equations.rows < 3 * columns.length) return undefined;
  const solved = solveIfDetermined(equations)?.coefficients;
  if (solved === undefined) return undefined;
  const coefficients = new Float64Array(11);
  columns.forEach((c, k) => {
    coefficients[c] = solved[k] / scale ** POWERS[c];
  });
  return { coefficients, radius: surface.radius };
}

function fillColumns(all: Float64Array, x: number, y: number): void {
  all[0] = 1;
  all[1] = x;
  all[2] = x * x;
  all[3] = all[2] * x;
  all[4] = y;
  all[5] = x * y;
  all[6] = all[2] * y;
  all[7] = y * y;
  all[8] = x * all[7];
  all[9] = all[3] * x;
  all[10] = all[9] * x;
}

/** Points of the strip about the centreline that may lie on a playing surface. */
function stripOf(points: BoardPoints, work: Workpiece): Uint32Array {
  const found = new Uint32Array(points.count);
  let n = 0;
  for (let i = 0; i < points.count; i++) if (Math.abs(points.y[i]) <= STRIP * work.size && facesUp(points.nz[i])) found[n++] = i;
  return found.subarray(0, n);
}

/** A board is seen before and beyond the joint, and its crown stands up: the back of a neck has neither. */
function isBoardShaped(points: BoardPoints, work: Workpiece, surface: RoughSurface, strip: Uint32Array): boolean {
  const curvature = 1 / surface.radius - 2 * surface.coefficients[7];
  if (!(curvature > 0.25 / surface.radius && curvature < 3 / surface.radius)) return false;
  const tolerance = Math.max(0.5 * work.size, NOISE_BAND * work.sigma);
  const bins = new Set<number>();
  const bin = Math.max(CELL_X * work.size, 1.2 * work.spacing);
  for (const i of strip) {
    if (Math.abs(points.z[i] - roughHeight(surface, points.x[i], points.y[i])) < tolerance) bins.add(Math.floor(points.x[i] / bin));
  }
  let before = 0;
  let beyond = 0;
  for (const b of bins) {
    if (b < 0) before++;
    else beyond++;
  }
  const least = LEAST_BEYOND_JOINT * work.bodyLength;
  return before * bin > least && beyond * bin > least;
}
