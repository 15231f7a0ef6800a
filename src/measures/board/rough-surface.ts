import { NormalEquations } from '../../numerics/normal-equations.ts';
import type { Workpiece } from '../family.ts';
import type { BoardPoints } from './board-points.ts';

/**
 * The playing surface, roughly: z = a + b·x + c·x² + (d + e·x)·y − y²/(2·radius) + … with the circle in place of its parabola. Working frame, mm.
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
  return c[0] + x * (c[1] + x * (c[2] + x * c[3])) + y * (c[4] + x * (c[5] + x * c[6])) + (c[7] + c[8] * x) * y * y - sagitta(y, s.radius);
}

/** Slope of the rough surface along x on the centreline. */
export const roughSlope = (s: RoughSurface, x: number): number => s.coefficients[1] + x * (2 * s.coefficients[2] + 3 * x * s.coefficients[3]);

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
function collectVotes(points: BoardPoints, work: Workpiece): Votes {
  const { size, spacing } = work;
  const cellX = Math.max(CELL_X * size, 1.2 * spacing);
  const cellY = Math.max(CELL_Y * size, 1.2 * spacing);
  const cellZ = CELL_Z * size;
  const radius = usualRadius(size);
  const seen = new Set<number>();
  const x: number[] = [];
  const height: number[] = [];
  for (let i = 0; i < points.count; i++) {
    if (Math.abs(points.y[i]) > STRIP * size || !facesUp(points.nz[i], work)) continue;
    const h = points.z[i] + sagitta(points.y[i], radius);
    const key = (Math.floor(points.x[i] / cellX) + 512) * 1048576 + (Math.floor(points.y[i] / cellY) + 64) * 8192 + Math.floor(h / cellZ) + 4096;
    if (seen.has(key)) continue;
    seen.add(key);
    x.push(points.x[i]);
    height.push(h);
  }
  const across = Math.max(1, Math.round((2 * STRIP * size) / cellY));
  return { x: Float64Array.from(x), height: Float64Array.from(height), cells: (across * work.bodyLength) / cellX };
}

const facesUp = (nz: number, work: Workpiece): boolean => (work.cloud.oriented ? nz : Math.abs(nz)) > UPWARD;

/** The line in the xz plane that most cells support, or nothing. */
function mostSupportedLine(votes: Votes, size: number): { readonly z0: number; readonly slope: number } | undefined {
  const bin = CELL_Z * size;
  let best = 0;
  let line: { z0: number; slope: number } | undefined;
  for (let slope = SLOPES.from; slope <= SLOPES.to; slope += SLOPES.step) {
    const counts = new Map<number, number>();
    for (let i = 0; i < votes.x.length; i++) {
      const b = Math.round((votes.height[i] - slope * votes.x[i]) / bin);
      counts.set(b, (counts.get(b) ?? 0) + 1);
    }
    for (const [b, n] of counts) {
      const support = n + (counts.get(b - 1) ?? 0) + (counts.get(b + 1) ?? 0);
      if (support > best) {
        best = support;
        line = { z0: b * bin, slope };
      }
    }
  }
  return best >= LEAST_SHARE * votes.cells ? line : undefined;
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
  const line = mostSupportedLine(collectVotes(points, work), work.size);
  if (line === undefined) return undefined;
  let surface: RoughSurface = { coefficients: Float64Array.of(line.z0, line.slope, 0, 0, 0, 0, 0, 0, 0), radius: usualRadius(work.size) };
  for (let round = 0; round < TOLERANCES.length; round++) {
    const tolerance = Math.max(TOLERANCES[round] * work.size, NOISE_BAND * work.sigma);
    const refined = refine(points, work, surface, tolerance, round < 2);
    if (refined === undefined) return undefined;
    surface = refined;
  }
  return isBoardShaped(points, work, surface) ? surface : undefined;
}

/** The columns 1, x, x², x³, y, x·y, x²·y, y², x·y²; the first rounds hold all but the first three at zero. */
const FIRST_COLUMNS = [0, 1, 2, 4];
const ALL_COLUMNS = [0, 1, 2, 3, 4, 5, 6, 7, 8];

function refine(points: BoardPoints, work: Workpiece, surface: RoughSurface, tolerance: number, first: boolean): RoughSurface | undefined {
  const columns = first ? FIRST_COLUMNS : ALL_COLUMNS;
  const scale = work.bodyLength;
  const equations = new NormalEquations(columns.length);
  const row = new Float64Array(columns.length);
  for (let i = 0; i < points.count; i++) {
    const x = points.x[i];
    const y = points.y[i];
    if (Math.abs(y) > STRIP * work.size || !facesUp(points.nz[i], work)) continue;
    if (Math.abs(points.z[i] - roughHeight(surface, x, y)) > tolerance) continue;
    fillRow(row, columns, x / scale, y / scale);
    equations.add(row, points.z[i] + sagitta(y, surface.radius), points.area[i]);
  }
  if (equations.rows < 3 * columns.length) return undefined;
  const solved = equations.solve().coefficients;
  const coefficients = new Float64Array(9);
  const powers = [0, 1, 2, 3, 1, 2, 3, 2, 3];
  columns.forEach((c, k) => {
    coefficients[c] = solved[k] / scale ** powers[c];
  });
  return { coefficients, radius: surface.radius };
}

function fillRow(row: Float64Array, columns: readonly number[], x: number, y: number): void {
  const all = [1, x, x * x, x * x * x, y, x * y, x * x * y, y * y, x * y * y];
  for (let k = 0; k < columns.length; k++) row[k] = all[columns[k]];
}

/** A board is seen before and beyond the joint, and its crown stands up: the back of a neck has neither. */
function isBoardShaped(points: BoardPoints, work: Workpiece, surface: RoughSurface): boolean {
  const curvature = 1 / surface.radius - 2 * surface.coefficients[7];
  if (!(curvature > 0.25 / surface.radius && curvature < 3 / surface.radius)) return false;
  const tolerance = Math.max(0.5 * work.size, NOISE_BAND * work.sigma);
  const bins = new Set<number>();
  const bin = Math.max(CELL_X * work.size, 1.2 * work.spacing);
  for (let i = 0; i < points.count; i++) {
    if (Math.abs(points.y[i]) > STRIP * work.size || !facesUp(points.nz[i], work)) continue;
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
