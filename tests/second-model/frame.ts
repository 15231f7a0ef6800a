import type { Body } from './body.ts';
import { saddleHolds } from './fittings.ts';
import { fitLine, fitPlane } from './lines.ts';
import type { Neck } from './neck.ts';

/** Datums A, B, C of the noise-free model, and what belongs to them. */
export interface TrueFrame {
  /** rows x, y, z of the instrument's axes in body coordinates; `origin` in body coordinates */
  readonly axes: readonly [readonly number[], readonly number[], readonly number[]];
  readonly origin: readonly number[];
  to(x: number, y: number, z: number, out: Float64Array): void;
  /** crest round the outline, in the frame, flat; and which of its points are in A (1) */
  readonly crest: Float64Array;
  readonly inA: Uint8Array;
  /** outline in the frame, flat, even by arc length */
  readonly outline: Float64Array;
  /** outline's half widths: y at an x, treble (1) or bass (-1) side, outside the corners' fold-backs the outermost */
  outlineY(x: number, side: 1 | -1): number;
  /** the two points where the outline meets the root's sides, bass and treble, in the frame */
  readonly joints: readonly [readonly number[], readonly number[]];
  readonly bodyLength: number;
}

const ROUNDS = 6;
/** what lies this near (in plan) to neck, board or saddle is no part of A, mm */
const KEEP_CLEAR = 5;
const OUTLINE_STEP = 0.25;

export function findFrame(body: Body, neck: Neck): TrueFrame {
  const p = new Float64Array(3);
  const rim = rimPoints(body);
  let normal: readonly number[] = [0, 0, 1];
  let centre: readonly number[] = [0, 0, 0];
  let crestBody: Float64Array = new Float64Array(0);
  let used: Uint8Array = new Uint8Array(0);
  for (let round = 0; round < 2; round++) {
    const found = crestPoints(body, normal);
    crestBody = found;
    used = belongsToA(body, neck, found);
    const plane = fitPlane(found.filter((_, i) => used[Math.floor(i / 3)] === 1));
    normal = plane.normal;
    centre = plane.centre;
  }
  // B and C in turn
  let ex = orthonormal([1, 0, 0], normal);
  let origin = project([0, 0, 0], centre, normal);
  let length = body.dims.body;
  const joints = jointPoints(body, neck);
  let axes: [readonly number[], readonly number[], readonly number[]] = [ex, cross(normal, ex), normal];
  const to = (x: number, y: number, z: number, out: Float64Array): void => {
    const d = [x - origin[0], y - origin[1], z - origin[2]];
    for (let c = 0; c < 3; c++) out[c] = axes[c][0] * d[0] + axes[c][1] * d[1] + axes[c][2] * d[2];
  };
  let outline: Float64Array = new Float64Array(0);
  for (let round = 0; round < ROUNDS; round++) {
    outline = carry(rim, to);
    const xs: number[] = [];
    const ys: number[] = [];
    const add = (from: number, till: number): void => {
      for (let x = Math.ceil(from * length); x <= till * length; x++) {
        xs.push(x);
        ys.push((crossing(outline, x, 1) + crossing(outline, x, -1)) / 2);
      }
    };
    add(0.1, 0.3);
    add(0.7, 0.9);
    const line = fitLine(xs, ys);
    const a = Math.atan(line.slope);
    const [ox, oy] = [axes[0], axes[1]];
    ex = ox.map((c, i) => c * Math.cos(a) + oy[i] * Math.sin(a));
    origin = origin.map((c, i) => c + oy[i] * line.at0);
    axes = [ex, cross(normal, ex), normal];
    const js = joints.map((j) => {
      to(j[0], j[1], j[2], p);
      return p[0];
    });
    const shift = (js[0] + js[1]) / 2;
    origin = origin.map((c, i) => c + ex[i] * shift);
    outline = carry(rim, to);
    length = tailEnd(outline);
  }
  const inFrame = joints.map((j) => {
    to(j[0], j[1], j[2], p);
    return [p[0], p[1], p[2]];
  });
  return {
    axes,
    origin,
    to,
    crest: carry(crestBody, to),
    inA: used,
    outline,
    outlineY: (x, side) => crossing(outline, x, side),
    joints: [inFrame[0], inFrame[1]],
    bodyLength: length,
  };
}

const sectionsOf = (body: Body): number => Math.round(body.outline.length / (OUTLINE_STEP * Math.max(1, body.scale * 0.6)));

/** the outline at half the edge's thickness, as it lies now, body coordinates */
export function rimPoints(body: Body): Float64Array {
  const n = sectionsOf(body);
  const q = new Float64Array(4);
  const p = new Float64Array(3);
  const rim = new Float64Array(n * 3);
  for (let i = 0; i < n; i++) {
    body.outline.at((i / n) * body.outline.length, q);
    body.moved(q[0], q[1], body.warp(q[0], q[1]) - body.edge / 2, p);
    rim.set(p, i * 3);
  }
  return rim;
}

/** 1 for the crest's points that count for A */
export function belongsToA(body: Body, neck: Neck, crest: Float64Array): Uint8Array {
  const used = new Uint8Array(crest.length / 3);
  for (let i = 0; i < used.length; i++) {
    const [x, y, z] = [crest[i * 3], crest[i * 3 + 1], crest[i * 3 + 2]];
    if (!saddleHolds(body, x, y, KEEP_CLEAR) && !underNeck(neck, x, y, z)) used[i] = 1;
  }
  return used;
}

/** highest point along `normal` of each section across the edge, as it lies now */
export function crestPoints(body: Body, normal: readonly number[]): Float64Array {
  const out: number[] = [];
  const n = sectionsOf(body);
  const p = new Float64Array(3);
  const q = new Float64Array(4);
  for (let i = 0; i < n; i++) {
    body.outline.at((i / n) * body.outline.length, q);
    const height = (d: number): number => {
      const x = q[0] + d * q[2];
      const y = q[1] + d * q[3];
      body.moved(x, y, body.top(x, y, d), p);
      return normal[0] * p[0] + normal[1] * p[1] + normal[2] * p[2];
    };
    const c = body.crestInset(q[0], q[1]);
    let [a, b] = [0.4 * c, 1.9 * c];
    for (let k = 0; k < 30; k++) {
      const l = a + (b - a) * 0.381966;
      const r = b - (b - a) * 0.381966;
      if (height(l) < height(r)) a = l;
      else b = r;
    }
    const d = (a + b) / 2;
    const x = q[0] + d * q[2];
    const y = q[1] + d * q[3];
    // at the sharp inside of a corner two sections share one place: the nearer counts
    if (body.distance(x, y) < d - 0.01) continue;
    body.moved(x, y, body.top(x, y, d), p);
    out.push(p[0], p[1], p[2]);
  }
  return Float64Array.from(out);
}

function underNeck(neck: Neck, x: number, y: number, z: number): boolean {
  const p = new Float64Array(3);
  neck.unplace(x, y, z, p);
  const u = (p[0] - neck.origin) / Math.cos(neck.bed);
  if (u > neck.end + KEEP_CLEAR) return false;
  const s = p[1] >= 0 ? 1 : -1;
  const at = Math.max(-neck.length, Math.min(neck.end, u));
  return Math.abs(p[1]) < Math.max(neck.upperHalf(at, s), neck.lowerHalf(at, s)) + KEEP_CLEAR;
}

/** where the outline, at its own height, enters the neck root, bass and treble, body coordinates */
export function jointPoints(body: Body, neck: Neck): readonly [readonly number[], readonly number[]] {
  const q = new Float64Array(4);
  const p = new Float64Array(3);
  const find = (sign: number): readonly number[] => {
    const inside = (s: number): boolean => {
      body.outline.at(sign * s, q);
      body.moved(q[0], q[1], body.warp(q[0], q[1]) - body.edge / 2, p);
      return neck.holds(p[0], p[1], p[2], 0);
    };
    let a = 0;
    while (!inside(a) && a < 20 * body.scale) a += 0.2 * body.scale;
    let b = a;
    while (inside(b) && b < 80 * body.scale) b += 0.2 * body.scale;
    a = b - 0.2 * body.scale;
    for (let i = 0; i < 50; i++) {
      const m = (a + b) / 2;
      if (inside(m)) a = m;
      else b = m;
    }
    inside(a);
    return [p[0], p[1], p[2]];
  };
  return [find(-1), find(1)];
}

export function carry(points: Float64Array, to: (x: number, y: number, z: number, out: Float64Array) => void): Float64Array {
  const out = new Float64Array(points.length);
  const p = new Float64Array(3);
  for (let i = 0; i < points.length; i += 3) {
    to(points[i], points[i + 1], points[i + 2], p);
    out.set(p, i);
  }
  return out;
}

/** outermost y of the closed line at x on a side */
export function crossing(outline: Float64Array, x: number, side: 1 | -1): number {
  const n = outline.length / 3;
  let best = 0;
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    const [a, b] = [outline[i * 3], outline[j * 3]];
    if ((a <= x && b > x) || (b <= x && a > x)) {
      const y = outline[i * 3 + 1] + ((outline[j * 3 + 1] - outline[i * 3 + 1]) * (x - a)) / (b - a);
      if (y * side > best * side) best = y;
    }
  }
  return best;
}

export function tailEnd(outline: Float64Array): number {
  const n = outline.length / 3;
  let best = 0;
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    const [a, b] = [outline[i * 3 + 1], outline[j * 3 + 1]];
    if ((a <= 0 && b > 0) || (b <= 0 && a > 0)) best = Math.max(best, outline[i * 3] + ((outline[j * 3] - outline[i * 3]) * -a) / (b - a));
  }
  return best;
}

const cross = (a: readonly number[], b: readonly number[]): readonly number[] => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];

function orthonormal(v: readonly number[], normal: readonly number[]): readonly number[] {
  const d = v[0] * normal[0] + v[1] * normal[1] + v[2] * normal[2];
  const w = v.map((c, i) => c - d * normal[i]);
  const n = Math.hypot(w[0], w[1], w[2]);
  return w.map((c) => c / n);
}

function project(p: readonly number[], centre: readonly number[], normal: readonly number[]): readonly number[] {
  const d = (p[0] - centre[0]) * normal[0] + (p[1] - centre[1]) * normal[1] + (p[2] - centre[2]) * normal[2];
  return p.map((c, i) => c - d * normal[i]);
}
