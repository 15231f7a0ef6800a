import { linearLeastSquares } from '../../numerics/linear-least-squares.ts';
import { mad, quantile, weightedMedian } from '../../numerics/statistics.ts';
import type { Workpiece } from '../family.ts';
import { fitRobustSurface } from '../fit-robust-surface.ts';
import { pointsInBox } from '../points-in-box.ts';

/** A level of one plate's overhang beside the rib. Working frame, mm. */
export interface Overhang {
  readonly x: number;
  readonly y: number;
  readonly z: number;
  readonly u: number;
}

/** Both ends of a rib's height in one place. */
export interface RibEnds {
  /** Underside of the top's overhang. */
  readonly top: Overhang;
  /** Upper side of the back's overhang. */
  readonly back: Overhang;
}

/** mm × size. Half the stretch along x that is looked at. */
const HALF_STRETCH = 4;
/** mm × size. Ribs stand farther from the centreline than this at 5 % and 95 % of the body. */
const NEAREST = 18;
/** mm × size. Depth of the deepest ribs (a bass's, by this scale) with both plates. */
const DEEPEST = 110;
/** Cosine to z: walls. */
const WALL_COSINE = 0.35;
/** mm × size. Strips in which the rib is first looked for, and how far its points may be from there. */
const STRIP = 1.5;
const REACH = 0.9;
/** A layer of points with this share of the densest one's area is a wall of its own: the outermost is the rib's outer side. */
const OWN_WALL = 0.5;
/** mm × size. Distance from the rib's outer side, outwards, over which the overhang is level. */
const OUT_FROM = -0.4;
const OUT_TO = 1.8;
/** mm × size. How far the overhang may be from the rib's end. */
const END_REACH = 2;
/** mm × size. Edges are at least this thick: walls above are those of clamps. */
const LEAST_EDGE = 1.7;
/** mm × size. Least height of a rib; ribs of the flattest violins have 26 mm. */
const LEAST_HEIGHT = 18;
/** Bands over a rib's height, and the share of them that must hold points. */
const BANDS = 8;
const SEEN = 0.75;
/** Points that make a level. */
const FEWEST = 4;

/** Cosine to z of an overhang before its edge rounds over, and how well its level is then known, mm × size: edges are worn, glue stands in the corner. */
interface Flatness {
  readonly cosine: number;
  readonly u: number;
}
const STRICT: Flatness = { cosine: 0.93, u: 0.05 };
/** On a coarse scan every normal there is tilted by the corner or the edge. */
const LOOSE: Flatness = { cosine: 0.6, u: 0.15 };

/** @returns undefined where the rib or one of the overhangs is not seen */
export function findRibEnds(work: Workpiece, share: number, side: -1 | 1): RibEnds | undefined {
  const { cloud, size, bodyLength } = work;
  const p = cloud.positions;
  const x = share * bodyLength;
  const near = [NEAREST * size, Infinity] as const;
  const y = side > 0 ? near : ([-near[1], -near[0]] as const);
  const box = { x: [x - HALF_STRETCH * size, x + HALF_STRETCH * size], y, z: [-DEEPEST * size, 2 * size] } as const;
  const ids = pointsInBox(cloud, box);
  const walls = ids.filter((i) => Math.abs(cloud.normals[3 * i + 2]) < WALL_COSINE);
  const start = outermostWall(work, walls, side, x);
  if (start === undefined) return undefined;
  const model = { out: 1, a: 0, b: 2, degreeA: 2, degreeB: 2, total: 3 };
  const rib = fitRobustSurface(cloud, walls, model, Math.max(work.sigma, 0.03 * size), { value: (at) => start(at), reach: REACH * size });
  if (rib === undefined) return undefined;
  const heights = Float64Array.from(rib.ids, (i) => p[3 * i + 2]).filter((z) => z < LEAST_EDGE * -size);
  if (heights.length === 0) return undefined;
  const low = quantile(heights, 0.01);
  const high = quantile(heights, 0.99);
  if (high - low < LEAST_HEIGHT * size) return undefined;
  const outwards = (i: number): number => side * (p[3 * i + 1] - rib.fit.value(p[3 * i], p[3 * i + 2]));
  if (!isSeen(heights, low, high)) return undefined;
  const level = (end: number): Overhang | undefined =>
    levelAt(work, ids, outwards, x, end, STRICT) ?? levelAt(work, ids, outwards, x, end, LOOSE);
  const top = level(high);
  const back = level(low);
  return top === undefined || back === undefined ? undefined : { top, back };
}

/** Whether the wall is seen over most of its height: an edge above and clutter below are no rib. */
function isSeen(heights: Float64Array, low: number, high: number): boolean {
  const seen = new Uint8Array(BANDS);
  for (const z of heights) seen[Math.min(BANDS - 1, Math.max(0, Math.floor((BANDS * (z - low)) / (high - low))))] = 1;
  return seen.reduce((sum, s) => sum + s, 0) >= SEEN * BANDS;
}

/** First curve |y| of the rib's outer side over x: a line through the outermost layers that hold enough area. */
function outermostWall(work: Workpiece, walls: Uint32Array, side: -1 | 1, x: number): ((x: number) => number) | undefined {
  const { cloud, size } = work;
  const p = cloud.positions;
  const strips = new Map<number, number[]>();
  for (const i of walls) {
    const k = Math.floor((p[3 * i] - x) / (STRIP * size));
    strips.set(k, [...(strips.get(k) ?? []), i]);
  }
  const nodes: { x: number; y: number }[] = [];
  for (const [k, ids] of [...strips].sort((a, b) => a[0] - b[0])) {
    const y = outermostLayer(work, ids, side);
    if (y !== undefined) nodes.push({ x: x + (k + 0.5) * STRIP * size, y });
  }
  if (nodes.length < 3) return undefined;
  // Median of the slopes between all pairs (Theil 1950): a clamp in some of the strips does not turn it.
  const slopes = nodes.flatMap((a, j) => nodes.slice(j + 1).map((b) => (b.y - a.y) / (b.x - a.x)));
  const slope = quantile(slopes, 0.5);
  const at = quantile(
    nodes.map((n) => n.y - slope * (n.x - x)),
    0.5,
  );
  return (v) => at + slope * (v - x);
}

function outermostLayer(work: Workpiece, ids: number[], side: -1 | 1): number | undefined {
  const { cloud, size } = work;
  const p = cloud.positions;
  ids.sort((i, j) => side * (p[3 * j + 1] - p[3 * i + 1]));
  const width = STRIP * size;
  const areas: number[] = [];
  let to = 0;
  let area = 0;
  for (let k = 0; k < ids.length; k++) {
    while (to < ids.length && Math.abs(p[3 * ids[to] + 1] - p[3 * ids[k] + 1]) <= width) area += cloud.areas[ids[to++]];
    areas.push(area);
    area -= cloud.areas[ids[k]];
  }
  const most = Math.max(...areas);
  const first = areas.findIndex((a) => a >= OWN_WALL * most);
  if (first < 0) return undefined;
  const layer = ids.filter(
    (i) => Math.abs(p[3 * i + 1] - p[3 * ids[first] + 1]) <= width && side * (p[3 * ids[first] + 1] - p[3 * i + 1]) >= 0,
  );
  return weightedMedian(
    layer.map((i) => p[3 * i + 1]),
    layer.map((i) => Math.max(cloud.areas[i], 1e-6)),
  );
}

/** Height of the overhang near the rib's end, at x: a line along x through its points. */
function levelAt(
  work: Workpiece,
  ids: Uint32Array,
  outwards: (i: number) => number,
  x: number,
  end: number,
  { cosine, u }: Flatness,
): Overhang | undefined {
  const { cloud, size } = work;
  const p = cloud.positions;
  let level = ids.filter((i) => {
    if (Math.abs(cloud.normals[3 * i + 2]) < cosine || Math.abs(p[3 * i + 2] - end) > END_REACH * size) return false;
    const out = outwards(i);
    return out > OUT_FROM * size && out < OUT_TO * size;
  });
  for (let round = 0; round < 2 && level.length >= FEWEST; round++) {
    const heights = Float64Array.from(level, (i) => p[3 * i + 2]);
    const middle = quantile(heights, 0.5);
    const reach = 4 * Math.max(mad(heights), work.sigma, 0.02 * size);
    level = level.filter((i) => Math.abs(p[3 * i + 2] - middle) < reach);
  }
  if (level.length < FEWEST) return undefined;
  const design = Float64Array.from({ length: 2 * level.length }, (_, k) => (k % 2 === 0 ? 1 : (p[3 * level[k >> 1]] - x) / size));
  const z = Float64Array.from(level, (i) => p[3 * i + 2]);
  const fit = linearLeastSquares(design, 2, z);
  const y = level.reduce((sum, i) => sum + p[3 * i + 1], 0) / level.length;
  return { x, y, z: fit.coefficients[0], u: Math.hypot(Math.sqrt(fit.covariance[0]), u * size) };
}
