import type { Cloud } from '../geometry/cloud.ts';
import { quantile } from '../numerics/statistics.ts';
import { SampleList, type Samples } from '../geometry/samples.ts';

/** The two sides of the neck root at the height of the outline, as samples with their normals. Working frame, mm. */
export interface NeckRoot {
  readonly bass: Samples | undefined;
  readonly treble: Samples | undefined;
  /** Half-width of the root where it meets the body, mm; a usual one where it is not seen. */
  readonly halfWidth: number;
  /** The same on each side, from the centreline as it stands. */
  readonly halfBass: number;
  readonly halfTreble: number;
}

/** Zone in which the sides of the root are looked for, mm × size: beside the joint, at the height of the edge, clear of a fillet at the corner. */
const ZONE = { from: -14, to: -2.5, least: 7, below: 2.6, above: 2.0 };
/** Widest half of a root: necks grow less than bodies (violin 15–18 mm, cello 20–26 mm, bass 28–38 mm; common practice, no source); mm × size^0.65. */
const WIDEST_HALF = { most: 22, grows: 0.65 };
/**
 * Where no root is there, it is looked for nearer to the nut, mm × size: a search by the shape of the whole body may place sloping shoulders some centimetres off. A root's side
 * is at least this long along the neck; what of shoulders and ribs faces sideways is shorter or wider apart.
 */
const FARTHER = [0, -9, -18];
const LONG = 5;
/** A side faces sideways within this. */
const SIDEWAYS = 0.72;
/** Cells of one sample, mm × size. */
const CELL = 1.5;
/** Points of one side lie this close to its middle, mm × size. */
const BAND = 2;
const FEWEST = 6;
/** The root widens to the body and to the board: this share of its side's points lies within its width at the joint. */
const WIDEST = 0.9;
/** Half the width of a usual root, share of body length: for blocking out the outline before the root is known. */
export const USUAL_ROOT_HALF = 0.048;

/** @param edgeHeight  height of the outline over the edge plane (negative), mm */
export function neckRoot(cloud: Cloud, size: number, edgeHeight: number, sigma: number): NeckRoot {
  const near = pointsBesideJoint(cloud, size, edgeHeight);
  const sides = ([-1, 1] as const).map((side) => {
    for (const shift of FARTHER) {
      const found = rootSide(cloud, near, size, side, sigma, shift);
      if (found !== undefined) return found;
    }
    return undefined;
  });
  const widths = sides.filter((s) => s !== undefined).map((s) => s.halfWidth);
  const halfWidth = widths.length > 0 ? Math.max(...widths) : USUAL_ROOT_HALF * 355 * size;
  return {
    bass: sides[0]?.samples,
    treble: sides[1]?.samples,
    halfWidth,
    halfBass: sides[0]?.halfWidth ?? halfWidth,
    halfTreble: sides[1]?.halfWidth ?? halfWidth,
  };
}

/** What faces sideways at the height of the edge, wherever a root may be: all searches look among these few. */
function pointsBesideJoint(cloud: Cloud, size: number, edgeHeight: number): Int32Array {
  const p = cloud.positions;
  const n = cloud.normals;
  const from = (ZONE.from + Math.min(...FARTHER)) * size;
  const to = ZONE.to * size;
  const most = widestHalf(size) * size;
  const ids = new Int32Array(cloud.count);
  let count = 0;
  for (let i = 0; i < cloud.count; i++) {
    const x = p[3 * i];
    if (x < from || x > to || Math.abs(n[3 * i + 1]) <= SIDEWAYS) continue;
    const y = Math.abs(p[3 * i + 1]);
    const z = (p[3 * i + 2] - edgeHeight) / size;
    if (y >= ZONE.least * size && y <= most && z >= -ZONE.below && z <= ZONE.above) ids[count++] = i;
  }
  return ids.slice(0, count);
}

const widestHalf = (size: number): number => WIDEST_HALF.most * size ** (WIDEST_HALF.grows - 1);

function rootSide(
  cloud: Cloud,
  near: Int32Array,
  size: number,
  side: 1 | -1,
  sigma: number,
  shift: number,
): { samples: Samples; halfWidth: number } | undefined {
  const p = cloud.positions;
  const ids = Array.from(near).filter((i) => {
    const x = p[3 * i] / size - shift;
    return x >= ZONE.from && x <= ZONE.to && side * p[3 * i + 1] > 0;
  });
  if (ids.length < FEWEST) return undefined;
  // The root narrows away from the body: what counts is the side as it nears the joint, so its middle is taken along a line.
  const middle = quantile(
    ids.map((i) => side * p[3 * i + 1]),
    0.5,
  );
  const kept = ids.filter((i) => Math.abs(side * p[3 * i + 1] - middle) < BAND * 1.5 * size);
  if (kept.length < FEWEST || lengthOf(kept, p) < LONG * size) return undefined;
  const list = new SampleList();
  const cells = new Map<number, number[]>();
  for (const i of kept) {
    const key = Math.floor(p[3 * i] / (CELL * size)) * 1000 + Math.floor(p[3 * i + 2] / (CELL * size));
    const cell = cells.get(key);
    if (cell === undefined) cells.set(key, [i]);
    else cell.push(i);
  }
  for (const members of cells.values()) {
    const mean = [0, 1, 2].map((k) => members.reduce((s, i) => s + p[3 * i + k], 0) / members.length);
    list.add(mean[0], mean[1], mean[2], 0, side, 0, sigma / Math.sqrt(members.length), members.length);
  }
  return {
    samples: list.samples(),
    halfWidth: quantile(
      kept.map((i) => side * p[3 * i + 1]),
      WIDEST,
    ),
  };
}

/** Extent along x of points, mm. */
function lengthOf(ids: readonly number[], p: Float32Array): number {
  let [low, high] = [Infinity, -Infinity];
  for (const i of ids) {
    low = Math.min(low, p[3 * i]);
    high = Math.max(high, p[3 * i]);
  }
  return high - low;
}
