import { edgeDensity, type EdgeDensity } from './edge-density.ts';
import type { Workpiece } from '../family.ts';
import type { StemEdge } from './find-stem.ts';

/** Places along the body, mm, evenly spaced: where the tip of a notch may be. */
export interface Places {
  readonly from: number;
  readonly step: number;
  readonly count: number;
}

/** How well each place explains the points of one edge. */
export interface NotchLikelihood {
  /** Logarithm of the likelihood over that of an edge without notch, summed over openings, depths and skews; −∞ off the stem. */
  readonly log: Float64Array;
  /** Mean and mean square of |y| of the tip at each place, mm, mm². */
  readonly across: Float64Array;
  readonly acrossSquare: Float64Array;
}

/** A notch as a triangle cut into the edge: half its opening, its depth, and the tip's place along the opening (−1 … 1). */
interface Shape {
  readonly half: number;
  readonly depth: number;
  readonly skew: number;
}

/** mm × size. Notches as they are cut. */
const HALVES = [0.45, 0.6, 0.8, 1.05, 1.3, 1.55, 1.8];
const DEPTHS = [0.6, 0.8, 1.05, 1.35, 1.65, 2, 2.35, 2.7, 3.1];
const SKEWS = [-0.5, -0.25, 0, 0.25, 0.5];
/** The first look makes do with these. */
const FEW_HALVES = [0.5, 0.9, 1.5];
const FEW_DEPTHS = [0.7, 1.2, 1.9, 2.7];
const FEW_SKEWS = [-0.4, 0, 0.4];
/** mm × size. Flanks are not quite straight, and shapes are tried in steps: points lie this far off besides. */
const SHAPE_SPREAD = 0.08;
/** Depth over half opening: flanks of 35° to 75°. */
const LEAST_STEEP = 0.7;
const MOST_STEEP = 3.6;
/** Steps (odd) between the places that are weighed first, with few shapes. */
const COARSE = 3;
/** Natural logarithm: places this far below the best carry no weight that matters. */
const NEGLIGIBLE = 7;
/** mm × size. The ends of the stem, where it turns into the f's arms, are no place for a notch. */
const MARGIN = 3;
/** Spreads of the edge beyond which its ridge is not felt. */
const NO_EDGE = 5;
/** Points of an edge that are looked at, at most: more of them tell nothing new. */
const ENOUGH = 900;

/**
 * Weighs every place of a notch by how points are spread in plan: many in the plate, hardly any in the hole, most along the edge (a Poisson process with
 * the densities of `edgeDensity`).
 *
 * @returns undefined where too few points lie about the edge
 */
export function notchLikelihood(edge: StemEdge, places: Places, work: Workpiece): NotchLikelihood | undefined {
  const points = thinned(edge.points);
  const density = edgeDensity(points, work, edge.to - edge.from, SHAPE_SPREAD * work.size);
  if (density === undefined) return undefined;
  const { count } = places;
  const log = new Float64Array(count).fill(-Infinity);
  const across = new Float64Array(count);
  const acrossSquare = new Float64Array(count);
  const few = allShapes(work.size, FEW_HALVES, FEW_DEPTHS, FEW_SKEWS);
  const shapes = allShapes(work.size, HALVES, DEPTHS, SKEWS);
  const weigh = (k: number, chosen: readonly Shape[]): void => {
    const sums = weighPlace(points, edge, density, places.from + k * places.step, chosen);
    log[k] = sums[0];
    across[k] = sums[1];
    acrossSquare[k] = sums[2];
  };
  const margin = MARGIN * work.size;
  const first = Math.max(0, Math.ceil((edge.from + margin - places.from) / places.step));
  const last = Math.min(count - 1, Math.floor((edge.to - margin - places.from) / places.step));
  let best = -Infinity;
  for (let k = first; k <= last; k += COARSE) {
    weigh(k, few);
    best = Math.max(best, log[k]);
  }
  for (let k = first; k <= last; k += COARSE) {
    // Likely places are weighed with all shapes and at every step; between unlikely ones nothing is lost.
    const likely = log[k] > best - NEGLIGIBLE;
    for (let j = Math.max(first, k - (COARSE >> 1)); j <= Math.min(last, k + (COARSE >> 1)); j++) {
      if (likely) weigh(j, shapes);
      else if (j !== k) {
        log[j] = log[k];
        across[j] = across[k];
        acrossSquare[j] = acrossSquare[k];
      }
    }
  }
  return { log, across, acrossSquare };
}

/** Logarithm of the mean likelihood over the shapes with their tip at x, and mean and mean square of the tip's |y|. */
function weighPlace(
  points: Float64Array,
  edge: StemEdge,
  density: EdgeDensity,
  x: number,
  shapes: readonly Shape[],
): [number, number, number] {
  const gains = shapes.map((shape) => gain(points, density, footOf(edge, density, x, shape), shape));
  const most = Math.max(...gains);
  let total = 0;
  let across = 0;
  let square = 0;
  shapes.forEach((shape, s) => {
    const w = Math.exp(gains[s] - most);
    const y = acrossOf(edge, density, x, shape);
    total += w;
    across += w * y;
    square += w * y * y;
  });
  return [most + Math.log(total / shapes.length), across / total, square / total];
}

function thinned(points: Float64Array): Float64Array {
  const keep = Math.ceil(points.length / 2 / ENOUGH);
  return keep <= 1 ? points : points.filter((_, k) => (k >> 1) % keep === 0);
}

function allShapes(size: number, halves: readonly number[], depths: readonly number[], skews: readonly number[]): Shape[] {
  const shapes: Shape[] = [];
  for (const half of halves) {
    for (const depth of depths) {
      if (depth < LEAST_STEEP * half || depth > MOST_STEEP * half) continue;
      for (const skew of skews) shapes.push({ half: half * size, depth: depth * size, skew });
    }
  }
  return shapes;
}

/** Place on the edge opposite the tip at x. */
function footOf(edge: StemEdge, density: EdgeDensity, x: number, shape: Shape): number {
  const slope = edge.slope(x);
  return x + (edge.plateSide * (shape.depth + density.offset) * slope) / Math.sqrt(1 + slope * slope);
}

function acrossOf(edge: StemEdge, density: EdgeDensity, x: number, shape: Shape): number {
  const foot = footOf(edge, density, x, shape);
  const slope = edge.slope(x);
  return edge.value(foot) + (edge.plateSide * (shape.depth + density.offset)) / Math.sqrt(1 + slope * slope);
}

/** Logarithm of the likelihood with a notch, whose tip lies opposite `tip`, over that without. */
function gain(points: Float64Array, density: EdgeDensity, tip: number, shape: Shape): number {
  const { half, depth, skew } = shape;
  const left = half * (1 + skew);
  const right = half * (1 - skew);
  const leftFlank = Math.hypot(left, depth);
  const rightFlank = Math.hypot(right, depth);
  let sum = (density.plate - density.hole) * half * depth - density.edge * (leftFlank + rightFlank - 2 * half);
  const { log, logZero, logScale } = density;
  const end = log.length - 1;
  const look = (into: number): number => log[Math.min(end, Math.max(0, Math.round(into * logScale) + logZero))];
  for (let k = firstFrom(points, tip - left); k < points.length && points[k] < tip + right; k += 2) {
    const into = points[k + 1] - density.offset;
    // Deep in the plate both say the same.
    if (into > depth + NO_EDGE * density.spread) continue;
    const t = points[k] - tip;
    const off = t < 0 ? ((into - depth * (1 + t / left)) * left) / leftFlank : ((into - depth * (1 - t / right)) * right) / rightFlank;
    sum += look(off) - look(into);
  }
  return sum;
}

/** Index of the first pair whose x is at least `x`. */
function firstFrom(points: Float64Array, x: number): number {
  let low = 0;
  let high = points.length / 2;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (points[2 * middle] < x) low = middle + 1;
    else high = middle;
  }
  return 2 * low;
}
