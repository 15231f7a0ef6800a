import type { BoardLine, Workpiece } from '../family.ts';
import { quantile } from '../../numerics/statistics.ts';
import { fitRobustSurface } from '../fit-robust-surface.ts';
import { pointsInBox } from '../points-in-box.ts';
import { followBack } from './follow-back.ts';

/** One of the two faces of the neck near the centreline: the board's playing surface or the back of the neck. Working frame, mm. */
export interface NeckLayer {
  readonly ids: Uint32Array;
  readonly value: (x: number, y: number) => number;
  readonly gradient: (x: number, y: number) => readonly [number, number];
  /** Share of the neck's length, from 15 % to 65 %, that holds points. */
  readonly coverage: number;
}

export interface NeckLayers {
  readonly board: NeckLayer | string;
  readonly back: NeckLayer | string;
}

/** mm × size. Half the widths of the strips: the board's own centreline may lie 2 mm beside the body's, and the measure needs 5 mm on either side of it. */
const HALF_BOARD = 7;
const HALF_BACK = 7;
/** mm × size. The stretch along x that holds 15 % and 65 % of every neck length, up to the head and down into the throat. */
const FROM = -135;
const TO = -30;
/** mm × size. Heights that board and back of the neck may have there, early and deformed sets included. */
const LOWEST = -40;
const HIGHEST = 30;
/** Cosine: the strip's sides on a round back slope by 45°. */
const LEAST_COSINE = 0.7;
/** mm × size. Edges of the cells in which heights are first looked at, along and across. */
const CELL = 5;
const CELL_ACROSS = 2;
/** mm × size. A neck is at least this thick with its board; the greatest is that of a full-size bass. */
const THINNEST = 9;
const THICKEST = 32;
/** Share of a cell's heights (those of its upper layer) below which the board is taken to lie: strings and webs are above it. */
const LOW_SHARE = 0.2;
/** mm × size. How far points may be from the first rough surface. */
const REACH = 0.8;
/** mm × size. Radius of the back's section, roughly. */
const BACK_RADIUS = 12;
/** Cells along the neck without points beyond which a face counts as unseen. */
const LEAST_COVERAGE = 0.25;

interface Cells {
  /** Heights of points facing up or down, by cell. */
  readonly heights: ReadonlyMap<string, { readonly x: number; readonly y: number; readonly z: number[] }>;
}

/**
 * mm × size. How far above the board line points may be the board's: crown and tilt lift it by less, while the strings of a bass lie 2 above it and are seen more
 * densely than the board between them. Without a known line they are told by being the lower of two layers.
 */
const ABOVE_LINE = 1;
const ABOVE_LOWEST = 2.5;

/** Finds both faces; a face that the scan does not show is a reason. */
export function findNeckLayers(work: Workpiece): NeckLayers {
  const plane = work.boardLine ?? planeThrough(boardNodes(work, heightsByCell(work, HALF_BOARD)));
  if (plane === undefined) return { board: 'the board is not in the scan above the neck', back: 'back of the neck not seen' };
  const above = work.boardLine === undefined ? ABOVE_LOWEST : ABOVE_LINE;
  return { board: boardLayer(work, plane, above), back: backLayer(work, plane) };
}

function heightsByCell(work: Workpiece, halfWidth: number): Cells {
  const { cloud, size } = work;
  const p = cloud.positions;
  const y = halfWidth * size;
  const box = { x: [FROM * size, TO * size], y: [-y, y], z: [LOWEST * size, HIGHEST * size] } as const;
  const heights = new Map<string, { x: number; y: number; z: number[] }>();
  for (const i of pointsInBox(cloud, box)) {
    if (Math.abs(cloud.normals[3 * i + 2]) < LEAST_COSINE) continue;
    const a = Math.floor(p[3 * i] / (CELL * size));
    const b = Math.floor(p[3 * i + 1] / (CELL_ACROSS * size));
    const key = `${a} ${b}`;
    let cell = heights.get(key);
    if (cell === undefined) {
      cell = { x: (a + 0.5) * CELL * size, y: (b + 0.5) * CELL_ACROSS * size, z: [] };
      heights.set(key, cell);
    }
    cell.z.push(p[3 * i + 2]);
  }
  return { heights };
}

interface Node {
  readonly x: number;
  readonly z: number;
}

/** Low end of the upper layer in each cell. */
function boardNodes(work: Workpiece, cells: Cells): Node[] {
  const nodes: Node[] = [];
  for (const { x, z } of cells.heights.values()) {
    z.sort((a, b) => a - b);
    const upper = z.filter((v) => v > z[z.length - 1] - THINNEST * work.size);
    nodes.push({ x, z: quantile(upper, LOW_SHARE) });
  }
  return nodes;
}

/** The straight line z(x) with the most nodes near it (ties: the first found), through pairs of nodes at least a third of the stretch apart. */
function planeThrough(nodes: readonly Node[]): BoardLine | undefined {
  let best: { z0: number; slope: number; score: number } | undefined;
  if (nodes.length < 4) return undefined;
  const span = Math.max(...nodes.map((n) => n.x)) - Math.min(...nodes.map((n) => n.x));
  for (let i = 0; i < nodes.length; i++) {
    for (let j = i + 1; j < nodes.length; j++) {
      const dx = nodes[j].x - nodes[i].x;
      if (Math.abs(dx) < span / 3) continue;
      const slope = (nodes[j].z - nodes[i].z) / dx;
      if (Math.abs(slope) > STEEPEST) continue;
      const z0 = nodes[i].z - slope * nodes[i].x;
      let score = 0;
      for (const n of nodes) score += Math.max(0, 1 - Math.abs(n.z - z0 - slope * n.x) / NODE_REACH);
      if (best === undefined || score > best.score) best = { z0, slope, score };
    }
  }
  return best;
}

/** Greatest slope of a neck to the edge plane: 17°, the steepest sets reach 12°. */
const STEEPEST = 0.3;
/** mm. Nodes that support a line lie this near: crown and scoop of the board are smaller over the strip. */
const NODE_REACH = 1.2;

function boardLayer(work: Workpiece, plane: BoardLine, above: number): NeckLayer | string {
  const y = HALF_BOARD * work.size;
  const near = facing(work, y, (x) => [plane.z0 + plane.slope * x - 2 * work.size, plane.z0 + plane.slope * x + above * work.size]);
  const low = lowSurface(work, near, plane);
  return low === undefined
    ? 'the board is not in the scan above the neck'
    : layer(work, near, low, 'the board is not in the scan above the neck');
}

/** Points of the strip that face up or down, between two heights. */
function facing(work: Workpiece, y: number, heights: (x: number) => readonly [number, number]): Uint32Array {
  const { cloud, size } = work;
  const box = { x: [FROM * size, TO * size], y: [-y, y], z: [LOWEST * size, HIGHEST * size] } as const;
  return pointsInBox(cloud, box, { axis: 'z', least: LEAST_COSINE }).filter((i) => {
    const [from, to] = heights(cloud.positions[3 * i]);
    const z = cloud.positions[3 * i + 2];
    return z >= from && z <= to;
  });
}

type Height = (x: number, y: number) => number;

/** The board under strings and webs: the plane, lowered or raised to where the low part of the points lies, with the crown of the board across. */
function lowSurface(work: Workpiece, ids: Uint32Array, plane: BoardLine): Height | undefined {
  if (ids.length < 20) return undefined;
  const p = work.cloud.positions;
  // Radius of the board's crown in units of size: 42 mm on a violin, 30 on a cello by this scale.
  const crown = (y: number): number => (y * y) / (2 * 38 * work.size);
  const rest = Float64Array.from(ids, (i) => p[3 * i + 2] - plane.z0 - plane.slope * p[3 * i] + crown(p[3 * i + 1]));
  const shift = quantile(rest, LOW_SHARE);
  return (x, y) => plane.z0 + plane.slope * x - crown(y) + shift;
}

function layer(work: Workpiece, ids: Uint32Array, start: Height, reason: string): NeckLayer | string {
  const model = { out: 2, a: 0, b: 1, degreeA: 4, degreeB: 4, total: 5 };
  const surface = fitRobustSurface(work.cloud, ids, model, Math.max(work.sigma, 0.01), { value: start, reach: REACH * work.size });
  if (surface === undefined) return reason;
  const coverage = coverageOf(work, surface.ids);
  if (coverage < LEAST_COVERAGE) return reason;
  return { ids: surface.ids, value: surface.fit.value, gradient: surface.fit.gradient, coverage };
}

function coverageOf(work: Workpiece, ids: Uint32Array): number {
  const cells = Math.floor((TO - FROM) / CELL);
  const seen = new Uint8Array(cells);
  for (const i of ids) {
    const k = Math.floor((work.cloud.positions[3 * i] / work.size - FROM) / CELL);
    if (k >= 0 && k < cells) seen[k] = 1;
  }
  return seen.reduce((sum, s) => sum + s, 0) / cells;
}

/** The back of the neck: where most area lies, parallel to the board to some degrees, between the thinnest and thickest neck below it. */
function backLayer(work: Workpiece, plane: BoardLine): NeckLayer | string {
  const reason = 'back of the neck not seen';
  const y = HALF_BACK * work.size;
  const near = facing(work, y, (x) => {
    const z = plane.z0 + plane.slope * x;
    return [z - THICKEST * work.size, z - THINNEST * work.size];
  });
  const line = planeThrough(middles(work, near));
  if (line === undefined) return reason;
  const rise = (v: number): number => (v * v) / (2 * BACK_RADIUS * work.size);
  const middle = rise(HALF_BACK * work.size) / 4;
  const back = layer(work, near, (x, v) => line.z0 + line.slope * x + rise(v) - middle, reason);
  return typeof back === 'string' ? back : followBack(work, near, back, TO);
}

/** Median height of the points in each stretch of `CELL` along the neck. */
function middles(work: Workpiece, ids: Uint32Array): Node[] {
  const p = work.cloud.positions;
  const step = CELL * work.size;
  const stretches = new Map<number, number[]>();
  for (const i of ids) {
    const k = Math.floor(p[3 * i] / step);
    const heights = stretches.get(k);
    if (heights === undefined) stretches.set(k, [p[3 * i + 2]]);
    else heights.push(p[3 * i + 2]);
  }
  return [...stretches].sort((a, b) => a[0] - b[0]).map(([k, heights]) => ({ x: (k + 0.5) * step, z: quantile(heights, 0.5) }));
}
