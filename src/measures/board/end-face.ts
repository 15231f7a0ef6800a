import { NormalEquations } from '../../numerics/normal-equations.ts';
import { median } from '../../numerics/statistics.ts';
import type { Workpiece } from '../family.ts';
import { SampleList, type Samples } from '../../geometry/samples.ts';
import type { BoardPoints } from './board-points.ts';
import type { EdgePlace } from './nut-front.ts';
import { edgeSamples } from './nut-front.ts';
import type { Height } from './playing-surface.ts';
import { solveIfDetermined } from './solve-if-determined.ts';

/** The board's end: a face that is produced to the playing surface, or, where no face is seen, the edge where the surface stops. */
export interface BoardEnd {
  readonly kind: 'face' | 'edge';
  readonly samples: Samples;
}

/** |n·x| of an end face: it leans by less than 40°. */
const ENDWAYS = 0.65;
/** Depths below the playing surface at which the face is taken: below a rounded edge; mm × size. */
const DEPTH = { from: 0.9, to: 6 } as const;
const REACH = 4;
const TOLERANCES = [2, 1, 0.5, 0.35, 0.35];
const NOISE_BAND = 3.5;
/** Share of the board's width over which the face is seen, and points it takes. */
const LEAST_WIDTH = 0.35;
const LEAST_POINTS = 8;
/** Cells of the face's samples, across × deep; mm × size. */
const CELL = { across: 3, deep: 2 } as const;
/** Distance of columns from their median, mm × size, within which most must lie for an end; a skew cut moves the outer ones by less. */
const RAGGED = 0.7;
const STRAIGHT_SHARE = 0.75;
/** Least standard uncertainty of an edge whose face is not seen, mm × size: it may be rounded by that much. */
const EDGE_U = 0.2;
/** Columns of the edge, mm × size. */
const COLUMN = 3;

export function findBoardEnd(points: BoardPoints, work: Workpiece, place: EdgePlace, height: Height): BoardEnd | undefined {
  const face = findFace(points, work, place, height);
  if (face !== undefined) return { kind: 'face', samples: face };
  const edge = findEdge(points, work, place, height);
  return edge === undefined ? undefined : { kind: 'edge', samples: edge };
}

function findFace(points: BoardPoints, work: Workpiece, place: EdgePlace, height: Height): Samples | undefined {
  const { size } = work;
  const crown = height(place.x, place.centre);
  let members: number[] = [];
  for (let i = 0; i < points.count; i++) {
    if (Math.abs(points.x[i] - place.x) > REACH * size || Math.abs(points.y[i] - place.centre) > place.half) continue;
    if (Math.abs(points.nx[i]) < ENDWAYS) continue;
    const d = height(points.x[i], points.y[i]) - points.z[i];
    if (d < DEPTH.from * size || d > DEPTH.to * size) continue;
    members.push(i);
  }
  let fit: (i: number) => number = () => place.x;
  for (const t of TOLERANCES) {
    const tolerance = Math.max(t * size, NOISE_BAND * work.sigma);
    const kept: number[] = members.filter((i) => Math.abs(points.x[i] - fit(i)) < tolerance);
    if (!coversWidth(kept, points, work, place)) return undefined;
    const equations = new NormalEquations(3);
    for (const i of kept) equations.add([1, points.y[i] - place.centre, points.z[i] - crown], points.x[i], points.area[i]);
    const c = solveIfDetermined(equations)?.coefficients;
    if (c === undefined) return undefined;
    fit = (i) => c[0] + c[1] * (points.y[i] - place.centre) + c[2] * (points.z[i] - crown);
    if (t === TOLERANCES[TOLERANCES.length - 1]) members = kept;
  }
  return faceSamples(members, points, work, fit);
}

function coversWidth(members: readonly number[], points: BoardPoints, work: Workpiece, place: EdgePlace): boolean {
  if (members.length < LEAST_POINTS) return false;
  const width = Math.max(2 * work.size, 1.5 * work.spacing);
  const seen = new Set(members.map((i) => Math.floor(points.y[i] / width)));
  return seen.size * width >= LEAST_WIDTH * 2 * place.half;
}

function faceSamples(members: readonly number[], points: BoardPoints, work: Workpiece, fit: (i: number) => number): Samples {
  const across = Math.max(CELL.across * work.size, 1.2 * work.spacing);
  const deep = Math.max(CELL.deep * work.size, 1.2 * work.spacing);
  const cells = new Map<number, number[]>();
  let squares = 0;
  for (const i of members) {
    const key = Math.floor(points.y[i] / across) * 4096 + Math.floor(points.z[i] / deep);
    const list = cells.get(key);
    if (list === undefined) cells.set(key, [i]);
    else list.push(i);
    squares += (points.x[i] - fit(i)) ** 2;
  }
  const scatter = Math.max(work.sigma, Math.sqrt(squares / Math.max(1, members.length - 3)));
  const list = new SampleList();
  for (const cell of cells.values()) {
    const n = cell.length;
    let [x, y, z, nx, ny, nz] = [0, 0, 0, 0, 0, 0];
    for (const i of cell) {
      const sign = points.nx[i] < 0 ? -1 : 1;
      x += points.x[i] / n;
      y += points.y[i] / n;
      z += points.z[i] / n;
      nx += sign * points.nx[i];
      ny += sign * points.ny[i];
      nz += sign * points.nz[i];
    }
    const l = Math.hypot(nx, ny, nz);
    list.add(x, y, z, nx / l, ny / l, nz / l, scatter / Math.sqrt(n), across * deep);
  }
  return list.samples();
}

/** A cut end runs straight across; the border of a hole does not. */
function runsStraight(edges: readonly { y: number; x: number }[], work: Workpiece): boolean {
  const middle = edges.length === 0 ? 0 : median(edges.map((e) => e.x));
  const near = edges.filter((e) => Math.abs(e.x - middle) < RAGGED * work.size + work.spacing);
  return near.length >= STRAIGHT_SHARE * edges.length;
}

/** Half the mean spacing is added to the last point of each column: the surface goes on for that much beyond it. */
function findEdge(points: BoardPoints, work: Workpiece, place: EdgePlace, height: Height): Samples | undefined {
  const { size } = work;
  const width = Math.max(COLUMN * size, 2.5 * work.spacing);
  const reach = Math.max(6 * size, 4 * work.spacing);
  const band = Math.max(0.35 * size, 4 * work.sigma);
  const columns = new Map<number, { last: number; n: number; first: number; y: number }>();
  for (let i = 0; i < points.count; i++) {
    const t = points.y[i] - place.centre;
    if (Math.abs(t) > place.half || Math.abs(points.x[i] - place.x) > reach) continue;
    if (Math.abs(points.z[i] - height(points.x[i], points.y[i])) > band) continue;
    const c = Math.floor(t / width);
    const column = columns.get(c) ?? { last: Number.NEGATIVE_INFINITY, first: Number.POSITIVE_INFINITY, n: 0, y: 0 };
    column.last = Math.max(column.last, points.x[i]);
    column.first = Math.min(column.first, points.x[i]);
    column.n++;
    column.y += points.y[i];
    columns.set(c, column);
  }
  const edges: { y: number; x: number }[] = [];
  for (const c of columns.values()) {
    if (c.n < 4) continue;
    const gap = (c.last - c.first) / (c.n - 1);
    edges.push({ y: c.y / c.n, x: c.last + gap / 2 });
  }
  if (!runsStraight(edges, work)) return undefined;
  return edgeSamples(edges, work, width, height, Math.max(EDGE_U * size, work.spacing / 2));
}
