import { median } from '../../numerics/statistics.ts';
import { SampleList, type Samples } from '../../geometry/samples.ts';
import type { BoardLine, Workpiece } from '../family.ts';
import type { BoardPoints } from './board-points.ts';
import { FREE_FROM, FREE_TO, inwardOf } from './lower-rim.ts';
import { trackSide } from './track-side.ts';
import { SIGN, type SideFace, type SideName } from './side-faces.ts';

/** The lower arris as the end of the side face, where a scan is too coarse to show the rim of the underside as a face of its own. */
export interface LowerEdge {
  readonly samples: Samples;
  /** Standard uncertainty of its height as a whole, mm: where between two rows of points the face ends. */
  readonly u: number;
}

/** Width of a bin along the board, mm × size and in spacings; points it must hold. */
const BIN = { width: 8, spacings: 4 } as const;
const LEAST_POINTS = 6;
/** Depths below the upper arris at which a lower arris can lie, mm × size: 4 to 6 on usual boards, 11 on the wedges of early sets. */
const DEPTH = { from: 1.6, to: 14 } as const;
/** Distance of side points from their face, mm × size and in σ. */
const BAND = 0.3;
const NOISE_BAND = 4;
/** |n·y| of a point of the side: normals of coarse scans are rounded off beside an arris. */
const SIDEWAYS = 0.6;
/** The underside begins within this of the side face, and within a spacing and a half of the edge's height; mm × size. */
const UNDERSIDE = { from: 0.4, to: 4 } as const;
/** Share of bins in which the underside is seen beside the edge: that proves that the board ends there, and not the scan. */
const LEAST_UNDERSIDE = 0.5;
/** Share of the free length that must be seen, and of its bins that must lie in line. */
const LEAST_LENGTH = 0.35;
const LEAST_IN_LINE = 0.7;
/**
 * Where no underside is seen (a scan from the front, a board close over the top) the end of the face proves itself by being a straight edge: seen along
 * most of the free board, its ends scattered by no more than rows of points do (mm × size and spacings), and as deep under the upper arris as boards are.
 * A face that the scanner loses fades out raggedly, and no plane of a crop runs there: the top lies lower.
 */
const STRAIGHT = { length: 0.6, bins: 6, inLine: 0.9, scatter: 0.08, spacings: 0.25, slope: 0.08 } as const;
/**
 * A mesh has vertices on the arris, the last points of a cloud lie before it by 1 ÷ (columns + 1) of a spacing in the mean: half of that is added, and up to
 * `ROW_U` spacings are open; besides, an arris is rounded or chipped and its last points may be missing: standard, mm × size.
 */
const ROW_U = 0.2;
const ROUND_U = 0.12;
/** Standard uncertainty of one bin's end beyond that common to all, spacings. */
const BIN_U = 0.2;

/** @param arrisHeight  height of the upper arris at x */
export function findLowerEdge(
  side: SideName,
  points: BoardPoints,
  work: Workpiece,
  face: SideFace,
  plane: BoardLine,
  arrisHeight: (x: number) => number,
  endX: number,
): LowerEdge | undefined {
  const { size } = work;
  const from = FREE_FROM * size;
  const to = endX - FREE_TO;
  const width = Math.max(BIN.width * size, BIN.spacings * work.spacing);
  const band = Math.max(BAND * size, NOISE_BAND * work.sigma);
  const outside = trackSide(side, points, work, face, arrisHeight);
  const bins = new Map<number, { x: number[]; z: number[]; area: number[]; inside: number[]; deepest: number }>();
  for (let i = 0; i < points.count; i++) {
    const x = points.x[i];
    const depth = arrisHeight(x) - points.z[i];
    if (x < from || x > to || depth < DEPTH.from * size || depth > DEPTH.to * size) continue;
    const inward = inwardOf(side, face, x, points.y[i]) + outside(x) + SIGN[side] * face.lean * depth;
    const b = Math.floor(x / width);
    const bin = bins.get(b) ?? { x: [], z: [], area: [], inside: [], deepest: 0 };
    bins.set(b, bin);
    const z = points.z[i] - plane.z0 - plane.slope * x;
    if (Math.abs(inward) < band && Math.abs(points.ny[i]) > SIDEWAYS) {
      bin.x.push(x);
      bin.z.push(z);
      bin.area.push(points.area[i]);
      bin.deepest = Math.max(bin.deepest, depth);
    } else if (inward > UNDERSIDE.from * size && inward < UNDERSIDE.to * size) bin.inside.push(z);
  }
  const edges: { x: number; z: number; underside: boolean }[] = [];
  for (const bin of bins.values()) {
    if (bin.z.length < LEAST_POINTS) continue;
    const spacing = Math.sqrt(median(bin.area));
    // What reaches the end of the search does not end there.
    if (bin.deepest > DEPTH.to * size - 2 * Math.max(spacing, work.spacing)) continue;
    const z = Math.min(...bin.z) - spacing / (2 * (width / spacing + 1));
    edges.push({ x: median(bin.x), z, underside: bin.inside.some((v) => Math.abs(v - z) < 1.5 * work.spacing + 0.5 * size) });
  }
  const seen = (edges.length * width) / (to - from);
  if (edges.length < 3 || seen < LEAST_LENGTH) return undefined;
  const inLine = alongLine(edges, Math.max(0.5 * size, 0.7 * work.spacing));
  if (inLine.length < Math.max(3, LEAST_IN_LINE * edges.length)) return undefined;
  const proven = edges.filter((e) => e.underside).length >= LEAST_UNDERSIDE * edges.length || isStraightEdge(edges, seen, work);
  if (!proven) return undefined;
  const u = Math.hypot(ROUND_U * size, ROW_U * work.spacing);
  const binU = Math.hypot(work.sigma, BIN_U * work.spacing);
  const list = new SampleList();
  for (const e of inLine) {
    const y = face.y0 + face.slope * e.x + face.lean * (arrisHeight(e.x) - plane.z0 - plane.slope * e.x - e.z);
    list.add(e.x, y, e.z + plane.z0 + plane.slope * e.x, 0, 0, -1, binU, width);
  }
  return { samples: list.samples(), u };
}

function isStraightEdge(edges: readonly { x: number; z: number }[], seen: number, { size, spacing }: Workpiece): boolean {
  if (edges.length < STRAIGHT.bins || seen < STRAIGHT.length) return false;
  const { slope, off } = throughMost(edges);
  const reach = 3 * (STRAIGHT.scatter * size + STRAIGHT.spacings * spacing);
  return Math.abs(slope) < STRAIGHT.slope && edges.filter((e) => Math.abs(off(e)) < reach).length >= STRAIGHT.inLine * edges.length;
}

/** Those near the line through most: bins with strings, webs or holes lie off it. */
function alongLine<T extends { x: number; z: number }>(edges: readonly T[], tolerance: number): T[] {
  const { off } = throughMost(edges);
  return edges.filter((e) => Math.abs(off(e)) < tolerance);
}

/** The line of median slope and median height (Theil 1950), and how far an edge lies over it. */
function throughMost(edges: readonly { x: number; z: number }[]): { slope: number; off: (e: { x: number; z: number }) => number } {
  const slopes: number[] = [];
  for (let i = 0; i < edges.length; i++)
    for (let j = 0; j < i; j++) if (edges[i].x !== edges[j].x) slopes.push((edges[i].z - edges[j].z) / (edges[i].x - edges[j].x));
  const slope = median(slopes);
  const height = median(edges.map((e) => e.z - slope * e.x));
  return { slope, off: (e) => e.z - height - slope * e.x };
}
