import { median } from '../../numerics/statistics.ts';
import type { Workpiece } from '../family.ts';
import { type Samples, SampleList } from '../samples.ts';
import type { BoardPoints } from './board-points.ts';
import type { Height } from './playing-surface.ts';

/** What the search for an edge across the board starts from. Working frame, mm. */
export interface EdgePlace {
  readonly x: number;
  /** y of the board's centreline there, and the half-width within which columns are looked at. */
  readonly centre: number;
  readonly half: number;
}

/** Width of a column, mm × size. */
const COLUMN = 1.5;
/** Reach of the search to both sides of the rough place, mm × size. */
const REACH = 2.6;
/** Lowest step that counts as a nut, mm × size and in sigma. */
const LEAST_STEP = 0.15;
const STEP_NOISE = 1.5;
/** Share of a column's points that may lie on the wrong side of its edge (a string, a web), and columns needed. */
const WRONG_SHARE = 0.2;
const LEAST_COLUMNS = 4;
/** Columns further than this from the common line are left out, robust standard deviations. */
const OUTLIER = 3;

/**
 * The nut's front edge, column by column across the board: in each, the place that best parts points standing on the nut from
 * points lying on the board.
 *
 * @returns samples with normals along x, or `undefined` when no step is seen
 */
export function findNutFront(points: BoardPoints, work: Workpiece, place: EdgePlace, height: Height): Samples | undefined {
  const { size } = work;
  const step = stepHeight(points, work, place, height);
  if (step === undefined) return undefined;
  const columns = columnsOf(points, work, place, (i) => {
    const h = points.z[i] - height(points.x[i], points.y[i]);
    return h > -0.6 * step - 4 * work.sigma && h < 1.5 * step + 4 * work.sigma ? h > step / 2 : undefined;
  });
  const edges: { y: number; x: number; gap: number }[] = [];
  for (const column of columns.values()) {
    const edge = splitColumn(column, place.x);
    if (edge !== undefined) edges.push(edge);
  }
  return edgeSamples(edges, work, COLUMN * size);
}

/** Median height of what stands before the board's edge, if it is a step. */
function stepHeight(points: BoardPoints, work: Workpiece, place: EdgePlace, height: Height): number | undefined {
  const { size } = work;
  const heights: number[] = [];
  const reach = Math.max(3.2 * size, 2 * work.spacing);
  for (let i = 0; i < points.count; i++) {
    const ahead = place.x - points.x[i];
    if (ahead < 0.7 * size || ahead > reach || Math.abs(points.y[i] - place.centre) > place.half) continue;
    const h = points.z[i] - height(points.x[i], points.y[i]);
    if (Math.abs(h) < 4 * size) heights.push(h);
  }
  if (heights.length < 6) return undefined;
  const step = median(heights);
  return step > Math.max(LEAST_STEP * size, STEP_NOISE * work.sigma) ? step : undefined;
}

interface Column {
  readonly y: number[];
  readonly x: number[];
  readonly up: boolean[];
}

/** Points near the edge by column; `classify` tells nut (true) from board (false) from neither (undefined). */
function columnsOf(points: BoardPoints, work: Workpiece, place: EdgePlace, classify: (i: number) => boolean | undefined): Map<number, Column> {
  const width = Math.max(COLUMN * work.size, 1.5 * work.spacing);
  const reach = Math.max(REACH * work.size, 2.5 * work.spacing);
  const columns = new Map<number, Column>();
  for (let i = 0; i < points.count; i++) {
    const t = points.y[i] - place.centre;
    if (Math.abs(t) > place.half || Math.abs(points.x[i] - place.x) > reach) continue;
    const up = classify(i);
    if (up === undefined) continue;
    const c = Math.floor(t / width);
    let column = columns.get(c);
    if (column === undefined) {
      column = { y: [], x: [], up: [] };
      columns.set(c, column);
    }
    column.y.push(points.y[i]);
    column.x.push(points.x[i]);
    column.up.push(up);
  }
  return columns;
}

/** The x that best parts nut points (smaller x) from board points (greater x), and the width of the gap it lies in. */
function splitColumn(column: Column, near: number): { y: number; x: number; gap: number } | undefined {
  const n = column.x.length;
  if (n < 4) return undefined;
  const order = Array.from({ length: n }, (_, i) => i).sort((a, b) => column.x[a] - column.x[b]);
  let wrong = column.up.filter((u) => u).length;
  let least = Number.POSITIVE_INFINITY;
  const splits: number[] = [];
  for (let k = 0; k < n; k++) {
    if (k > 0 && wrong <= least) {
      if (wrong < least) splits.length = 0;
      least = wrong;
      splits.push(k);
    }
    wrong += column.up[order[k]] ? -1 : 1;
  }
  if (splits.length === 0 || least > WRONG_SHARE * n) return undefined;
  const first = splits[0];
  const last = splits[splits.length - 1];
  const left = column.x[order[first - 1]];
  const right = column.x[order[last]];
  const x = (left + right) / 2;
  const y = column.y.reduce((a, b) => a + b, 0) / n;
  return Number.isFinite(near) ? { y, x, gap: right - left } : undefined;
}

/** Robust line through the columns' edges: the columns that lie on it become samples. */
export function edgeSamples(edges: readonly { y: number; x: number; gap: number }[], work: Workpiece, width: number): Samples | undefined {
  if (edges.length < LEAST_COLUMNS) return undefined;
  const centre = median(edges.map((e) => e.x));
  const scatter = Math.max(1.4826 * median(edges.map((e) => Math.abs(e.x - centre))), 0.3 * work.spacing, work.sigma);
  const list = new SampleList();
  for (const e of edges) {
    if (Math.abs(e.x - centre) > OUTLIER * scatter) continue;
    list.add(e.x, e.y, 0, 1, 0, 0, Math.hypot(e.gap / Math.sqrt(12), work.sigma, 0.5 * scatter), width);
  }
  return list.count >= LEAST_COLUMNS ? list.samples() : undefined;
}
