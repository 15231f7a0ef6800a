import type { Cloud } from '../geometry/cloud.ts';
import { quantile } from '../numerics/statistics.ts';
import { edgeScale } from './edge-scale.ts';
import { rimCoordinates, type RimCoordinates } from './rim-coordinates.ts';

/** One side of the outline as a row of bins along it, and the points near the top's edge in coordinates that follow it. */
export interface RimSide {
  /** −1 bass, +1 treble. */
  readonly side: 1 | -1;
  readonly step: number;
  /** Outline per bin: x, |y| (NaN where the scan shows none), and its outward normal in the plan. */
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly nx: Float64Array;
  readonly ny: Float64Array;
  /** Whether the outline turns sharply here: the corners. */
  readonly corner: Uint8Array;
  /** Points, sorted by bin: bin, distance inward from the outline (mm), height (mm), area (mm²). */
  readonly starts: Int32Array;
  readonly inward: Float64Array;
  readonly height: Float64Array;
  readonly area: Float64Array;
  /** |n_z| of each point: 1 on the top surface, 0 on wall and ribs. */
  readonly facing: Float64Array;
}

/** Bins along the outline, mm × scale of the edge: the radii of corners grow with the edge rather than with the body. */
const STEP = 2;
/** The zone of the top's edge, mm × size: heights about the edge plane, distance inward of the outline. An edge is 3.5–5 mm thick, its channel lies within 7 mm. */
const BELOW = -6.5;
const ABOVE = 3.5;
const INWARD = 9;
/** No outline lies nearer to the centreline than this away from both ends, share of body length. */
const INSIDE = 0.12;
/** Outline farther than this share of body length from its neighbours' median is something else. */
const JUMP = 0.02;

/** What hides or replaces the edge at both ends, mm: half-widths of neck root and of saddle with tailgut. */
export interface HiddenEnds {
  readonly neck: number;
  readonly tail: number;
}

export function rimSide(cloud: Cloud, bodyLength: number, size: number, side: 1 | -1, hidden: HiddenEnds): RimSide {
  const rim = rimCoordinates(bodyLength);
  const zone = pointsNearEdge(cloud, bodyLength, size, side, rim, hidden);
  const step = Math.max(STEP * edgeScale(size), STEP_SPACINGS * spacingOf(cloud, zone.ids));
  const bins = Math.ceil(rim.length / step);
  const near = { ...zone, bin: Int32Array.from(zone.along, (a) => Math.min(bins - 1, Math.floor(a / step))) };
  const out = smoothed(withoutJumps(outermost(near, bins, size), bodyLength));
  const outline = polyline(rim, out, step, bins);
  return onWall({ side, step, ...outline, ...followOutline(cloud, near, outline, side, size, bins) }, edgeScale(size));
}

/** What faces sideways, |n_z|, and lies this near to the outermost points, mm × scale of the edge, is the edge's wall; ribs stand 2.5 mm inside it. */
const SIDEWAYS = 0.55;
const WALL_REACH = 1.1;
const FEWEST_ON_WALL = 5;

/**
 * The outline moved, bin by bin, onto the middle of the wall's points: the smoothed outermost points lie off it where it bends sharply, each bin by another amount, and points of
 * many bins laid over each other would then show a blurred edge.
 */
function onWall(rim: RimSide, edge: number): RimSide {
  const x = rim.x.slice();
  const y = rim.y.slice();
  const inward = rim.inward.slice();
  for (let b = 0; b < x.length; b++) {
    const wall: number[] = [];
    for (let i = rim.starts[b]; i < rim.starts[b + 1]; i++)
      if (rim.facing[i] < SIDEWAYS && Math.abs(inward[i]) < WALL_REACH * edge) wall.push(inward[i]);
    if (wall.length < FEWEST_ON_WALL) continue;
    const offset = quantile(wall, 0.5);
    x[b] -= offset * rim.nx[b];
    y[b] -= offset * rim.ny[b];
    for (let i = rim.starts[b]; i < rim.starts[b + 1]; i++) inward[i] -= offset;
  }
  return { ...rim, x, y, inward };
}

/** A bin is at least this many spacings long, so that each holds some points of every part of the edge. */
const STEP_SPACINGS = 1.2;

/** Points that the spacing is read from. */
const SPACING_POINTS = 3000;

function spacingOf(cloud: Cloud, ids: Int32Array): number {
  if (ids.length === 0) return 0;
  const every = Math.max(1, Math.floor(ids.length / SPACING_POINTS));
  const areas = Float64Array.from({ length: Math.ceil(ids.length / every) }, (_, k) => cloud.areas[ids[k * every]]);
  return Math.sqrt(quantile(areas, 0.5));
}

interface EdgeZone {
  readonly ids: Int32Array;
  readonly along: Float64Array;
  readonly out: Float64Array;
}

interface NearEdge {
  readonly ids: Int32Array;
  readonly bin: Int32Array;
  readonly out: Float64Array;
}

function pointsNearEdge(cloud: Cloud, bodyLength: number, size: number, side: 1 | -1, rim: RimCoordinates, hidden: HiddenEnds): EdgeZone {
  const p = cloud.positions;
  const ids = new Int32Array(cloud.count);
  let count = 0;
  const [lo, hi] = [BELOW * size, ABOVE * size];
  for (let i = 0; i < cloud.count; i++) {
    const z = p[3 * i + 2];
    const y = side * p[3 * i + 1];
    const x = p[3 * i];
    if (z < lo || z > hi || y < 0 || x < -0.03 * bodyLength || x > 1.03 * bodyLength || y > 0.36 * bodyLength) continue;
    // Inside the outline, board and arch included: a shoulder slopes at 45° at the most.
    if (y < Math.min(INSIDE * bodyLength, x - 0.01 * bodyLength, 1.01 * bodyLength - x)) continue;
    if (y < (x < 0.5 * bodyLength ? hidden.neck : hidden.tail)) continue;
    ids[count++] = i;
  }
  const along = new Float64Array(count);
  const out = new Float64Array(count);
  for (let k = 0; k < count; k++) {
    const x = p[3 * ids[k]];
    const y = side * p[3 * ids[k] + 1];
    along[k] = rim.along(x, y);
    out[k] = rim.out(x, y);
  }
  return { ids: ids.slice(0, count), along, out };
}

function outermost(near: NearEdge, bins: number, size: number): Float64Array {
  const members: number[][] = Array.from({ length: bins }, () => []);
  near.bin.forEach((b, i) => {
    members[b].push(near.out[i]);
  });
  const out = new Float64Array(bins).fill(NaN);
  for (let b = 0; b < bins; b++) {
    const pool = members[b].length >= 8 ? members[b] : [...(members[b - 1] ?? []), ...members[b], ...(members[b + 1] ?? [])];
    if (pool.length < 4) continue;
    // A stray point far out must not carry the outline: the farthest that has company within a millimetre.
    pool.sort((a, c) => c - a);
    const k = pool.findIndex((v, i) => i + 2 < pool.length && v - pool[i + 2] < 1.2 * size);
    if (k >= 0) out[b] = pool[k];
  }
  return out;
}

/** Takes out jumps against the running median; a corner is a jump that its neighbours share, so the window is short. */
function withoutJumps(raw: Float64Array, bodyLength: number): Float64Array {
  return raw.map((v, b) => {
    const window = Array.from(raw.slice(Math.max(0, b - 4), b + 5)).filter((w) => !Number.isNaN(w));
    return window.length < 3 || Math.abs(v - quantile(window, 0.5)) > JUMP * bodyLength ? NaN : v;
  });
}

/** Weights of a short running mean: single points that stick out or lie back must not turn the normals. */
const SMOOTHING = [1, 2, 3, 2, 1];

function smoothed(out: Float64Array): Float64Array {
  return out.map((v, b) => {
    if (Number.isNaN(v)) return NaN;
    let sum = 0;
    let weight = 0;
    SMOOTHING.forEach((w, k) => {
      // Both neighbours at a distance or none, so that a slope is kept.
      const [one, other] = [out[b + k - 2], out[b - k + 2]];
      if (one === undefined || other === undefined || Number.isNaN(one) || Number.isNaN(other)) return;
      sum += w * one;
      weight += w;
    });
    return weight > 0 ? sum / weight : v;
  });
}

/** Bins over which a normal is taken on each side, and the turn over them that makes a corner, rad. */
const NORMAL_REACH = 3;
const CORNER_TURN = 0.6;

function polyline(rim: RimCoordinates, out: Float64Array, step: number, bins: number) {
  const x = new Float64Array(bins).fill(NaN);
  const y = new Float64Array(bins).fill(NaN);
  for (let b = 0; b < bins; b++) if (!Number.isNaN(out[b])) [x[b], y[b]] = rim.place((b + 0.5) * step, out[b]);
  return { x, y, ...normalsOf(x, y) };
}

/** Outward normals of an outline given bin by bin (tail at the end: outward lies to the left of the way, seen with |y| up). */
export function normalsOf(x: Float64Array, y: Float64Array) {
  const bins = x.length;
  const nx = new Float64Array(bins).fill(NaN);
  const ny = new Float64Array(bins).fill(NaN);
  const corner = new Uint8Array(bins);
  const direction = (a: number, b: number): number => Math.atan2(y[b] - y[a], x[b] - x[a]);
  for (let b = 0; b < bins; b++) {
    const lo = seen(x, b - NORMAL_REACH, b, 1);
    const hi = seen(x, b + NORMAL_REACH, b, -1);
    if (lo === undefined || hi === undefined || lo === hi || Number.isNaN(x[b])) continue;
    const a = direction(lo, hi);
    nx[b] = -Math.sin(a);
    ny[b] = Math.cos(a);
    if (lo < b && hi > b) {
      const turn = Math.abs(Math.atan2(Math.sin(direction(b, hi) - direction(lo, b)), Math.cos(direction(b, hi) - direction(lo, b))));
      if (turn > CORNER_TURN) for (let k = Math.max(0, b - NORMAL_REACH); k <= Math.min(bins - 1, b + NORMAL_REACH); k++) corner[k] = 1;
    }
  }
  return { nx, ny, corner };
}

function seen(x: Float64Array, from: number, to: number, step: 1 | -1): number | undefined {
  for (let b = Math.max(0, Math.min(x.length - 1, from)); step > 0 ? b <= to : b >= to; b += step) if (!Number.isNaN(x[b])) return b;
  return undefined;
}

function followOutline(
  cloud: Cloud,
  near: NearEdge,
  outline: { x: Float64Array; y: Float64Array; nx: Float64Array; ny: Float64Array },
  side: 1 | -1,
  size: number,
  bins: number,
) {
  const starts = new Int32Array(bins + 1);
  const kept = new Int32Array(near.ids.length);
  let count = 0;
  const inwardOf = new Float64Array(near.ids.length);
  for (let i = 0; i < near.ids.length; i++) {
    const id = near.ids[i];
    const b = near.bin[i];
    const s = -(
      (cloud.positions[3 * id] - outline.x[b]) * outline.nx[b] +
      (side * cloud.positions[3 * id + 1] - outline.y[b]) * outline.ny[b]
    );
    // NaN (no outline here) fails as well.
    if (!(s > -2 * size && s < INWARD * size)) continue;
    inwardOf[i] = s;
    kept[count++] = i;
    starts[b + 1]++;
  }
  for (let b = 0; b < bins; b++) starts[b + 1] += starts[b];
  const next = starts.slice();
  const inward = new Float64Array(count);
  const height = new Float64Array(count);
  const area = new Float64Array(count);
  const facing = new Float64Array(count);
  for (const i of kept.subarray(0, count)) {
    const at = next[near.bin[i]]++;
    inward[at] = inwardOf[i];
    height[at] = cloud.positions[3 * near.ids[i] + 2];
    area[at] = cloud.areas[near.ids[i]];
    facing[at] = Math.abs(cloud.normals[3 * near.ids[i] + 2]);
  }
  return { starts, inward, height, area, facing };
}
