import { compose, invert, type Motion, motionFromAxes } from '../geometry/motion.ts';
import { cross, unit, type Vec3 } from '../geometry/vec3.ts';
import { symmetricEigen } from '../numerics/symmetric-eigen.ts';
import type { ModelInstrument } from './model-instrument.ts';
import { sweepNeck } from './neck-sweep.ts';
import { toNeck } from './to-neck.ts';
import { insideRing, NearestOnRing } from './nearest-on-ring.ts';

type Point = readonly [number, number];

/** What is left out of the edge plane lies this near, in plan, to neck, board or saddle; mm. */
const CLEAR = 5;
/** Rounds in which frame, length and mid-points settle. */
const ROUNDS = 6;

export interface TrueFrame {
  /** Drawing coordinates to the instrument frame. */
  readonly motion: Motion;
  /** Crest of the top's edge in the instrument frame, 3n, with what takes part in the edge plane. */
  readonly crest: Float64Array;
  readonly inPlane: Uint8Array;
  /** Outline in the instrument frame, 3n, round from the neck by the bass side. */
  readonly outline: Float64Array;
  /** Where the outline meets the neck root's sides, bass and treble, instrument frame. */
  readonly joints: readonly [Vec3, Vec3];
  readonly bodyLength: number;
}

const frames = new WeakMap<ModelInstrument, TrueFrame>();

/** Datums A, B and C of the noise-free surface, by their definitions. */
export function trueFrame(instrument: ModelInstrument): TrueFrame {
  let frame = frames.get(instrument);
  if (!frame) {
    frame = findFrame(instrument);
    frames.set(instrument, frame);
  }
  return frame;
}

export const drawingToFrame = (instrument: ModelInstrument): Motion => trueFrame(instrument).motion;

function findFrame(instrument: ModelInstrument): TrueFrame {
  const { body } = instrument;
  const crest = ringAt(instrument, body.spec.crestInset);
  const outline = ringAt(instrument, 0);
  const inPlane = takesPart(instrument, crest);
  const { normal, centre } = planeThrough(crest, inPlane);
  const joints = drawnJoints(instrument, outline);
  const towardsTail: Vec3 = unit([1 - normal[0] * normal[0], -normal[0] * normal[1], -normal[0] * normal[2]]);
  let motion = motionFromAxes(towardsTail, cross(normal, towardsTail), normal, centre);
  let bodyLength = 0;
  for (let k = 0; k < ROUNDS; k++) {
    const ring = moved(motion, outline);
    const jointX = (at(motion, joints[0])[0] + at(motion, joints[1])[0]) / 2;
    let tail = -Infinity;
    for (let i = 0; i < ring.length; i += 3) tail = Math.max(tail, ring[i]);
    bodyLength = tail - jointX;
    const { slope, offset } = midLine(ring, jointX, bodyLength);
    const c = Math.cos(Math.atan(slope));
    const s = Math.sin(Math.atan(slope));
    const turn = motionFromAxes([c, s, 0], [-s, c, 0], [0, 0, 1], [jointX, offset + slope * jointX, 0]);
    motion = compose(turn, motion);
  }
  return {
    motion,
    crest: moved(motion, crest),
    inPlane,
    outline: moved(motion, outline),
    joints: [at(motion, joints[0]), at(motion, joints[1])],
    bodyLength,
  };
}

/**
 * The same datums for a later state of the instrument: the frame of the first, edge, outline and root's sides its own.
 *
 * @param motion  drawing coordinates of the later state to the instrument frame of the first
 */
export function carriedFrame(later: ModelInstrument, motion: Motion): TrueFrame {
  const own = trueFrame(later);
  const again = compose(motion, invert(own.motion));
  const outline = moved(again, own.outline);
  let tail = -Infinity;
  for (let i = 0; i < outline.length; i += 3) tail = Math.max(tail, outline[i]);
  return {
    motion,
    crest: moved(again, own.crest),
    inPlane: own.inPlane,
    outline,
    joints: [at(again, own.joints[0]), at(again, own.joints[1])],
    bodyLength: tail,
  };
}

/** The distorted edge at distance d from the outline: the outline itself or the crest; 3n. */
function ringAt(instrument: ModelInstrument, d: number): Float64Array {
  const { body } = instrument;
  const { outline } = body;
  const out: number[] = [];
  const p = new Float64Array(3);
  for (let i = 0; i < outline.count; i++) {
    p[0] = outline.x[i] + d * outline.nx[i];
    p[1] = outline.y[i] + d * outline.ny[i];
    if (d > 0 && body.edgeDistance(p[0], p[1]) < 0.995 * d) continue;
    p[2] = body.topZ(p[0], p[1], d);
    body.deform(p);
    out.push(p[0], p[1], p[2]);
  }
  return Float64Array.from(out);
}

/** What of the crest is not under or near board, neck or saddle (seen along the drawing's z, which A's normal matches within 0.1°). */
function takesPart(instrument: ModelInstrument, crest: Float64Array): Uint8Array {
  const { body, neck } = instrument;
  const board: Point[] = [];
  const p = new Float64Array(3);
  const count = 600;
  for (const side of [-1, 1] as const) {
    for (let k = 0; k <= count; k++) {
      const t = side < 0 ? k / count : 1 - k / count;
      p[0] = neck.boardStart + t * (neck.boardEnd - neck.boardStart);
      p[1] = neck.upperY(p[0], side);
      p[2] = neck.surfaceZ(p[0], p[1]);
      neck.place(p);
      board.push([p[0], p[1]]);
    }
  }
  const L = body.spec.outline.length;
  const half = body.spec.saddleWidth / 2;
  const saddle: Point[] = [];
  const depth = (5.4 * L) / 355;
  const corners: Point[] = [
    [L - depth, -half],
    [L + 1, -half],
    [L + 1, half],
    [L - depth, half],
  ];
  corners.forEach(([x, y], i) => {
    const [nx, ny] = corners[(i + 1) % 4];
    for (let k = 0; k < 200; k++) {
      p[0] = x + ((nx - x) * k) / 200;
      p[1] = y + ((ny - y) * k) / 200;
      p[2] = 0;
      body.deform(p);
      saddle.push([p[0], p[1]]);
    }
  });
  const near = new NearestOnRing([board, saddle], 2 * CLEAR);
  const n = crest.length / 3;
  const part = new Uint8Array(n);
  for (let i = 0; i < n; i++) {
    const x = crest[3 * i];
    const y = crest[3 * i + 1];
    part[i] = near.distance(x, y) > CLEAR && !insideRing(board, x, y) && !insideRing(saddle, x, y) ? 1 : 0;
  }
  return part;
}

function planeThrough(p: Float64Array, use: Uint8Array): { normal: Vec3; centre: Vec3 } {
  const sum = [0, 0, 0];
  let n = 0;
  for (let i = 0; i < use.length; i++) {
    if (!use[i]) continue;
    n++;
    for (let k = 0; k < 3; k++) sum[k] += p[3 * i + k];
  }
  const c: Vec3 = [sum[0] / n, sum[1] / n, sum[2] / n];
  const m = new Float64Array(9);
  for (let i = 0; i < use.length; i++) {
    if (!use[i]) continue;
    for (let a = 0; a < 3; a++) for (let b = 0; b < 3; b++) m[3 * a + b] += (p[3 * i + a] - c[a]) * (p[3 * i + b] - c[b]);
  }
  // Eigenvalues ascend: the first row is the direction of least spread.
  const { vectors } = symmetricEigen(m, 3);
  const v: Vec3 = [vectors[0], vectors[1], vectors[2]];
  const sign = v[2] < 0 ? -1 : 1;
  return { normal: unit([sign * v[0], sign * v[1], sign * v[2]]), centre: c };
}

/** Where the distorted outline, at its own height, meets the neck root's sides; drawing coordinates. */
function drawnJoints(instrument: ModelInstrument, outline: Float64Array): readonly [Vec3, Vec3] {
  const sweep = sweepNeck(instrument.neck, instrument.body);
  const n = outline.length / 3;
  const gap = (i: number): number => {
    const k = 3 * ((i + n) % n);
    const q = toNeck(instrument.neck, [outline[k], outline[k + 1], outline[k + 2]]);
    return Math.abs(q[1]) - sweep.halfWidth(q[0], q[2]);
  };
  const search = (step: number): Vec3 => {
    let i = 0;
    while (gap(i) < 0) i += step;
    const a = gap(i - step);
    const b = gap(i);
    const f = -a / (b - a);
    const k0 = 3 * ((i - step + n) % n);
    const k1 = 3 * ((i + n) % n);
    const between = (c: number): number => outline[k0 + c] + f * (outline[k1 + c] - outline[k0 + c]);
    return [between(0), between(1), between(2)];
  };
  return [search(1), search(-1)];
}

/** The outermost y of a ring on bass and treble side at x. */
export function sidesAt(ring: Float64Array, x: number): { bass: number; treble: number } | undefined {
  const n = ring.length / 3;
  let bass = Infinity;
  let treble = -Infinity;
  for (let i = 0; i < n; i++) {
    const a = 3 * i;
    const b = 3 * ((i + 1) % n);
    if (ring[a] > x === ring[b] > x) continue;
    const y = ring[a + 1] + ((ring[b + 1] - ring[a + 1]) * (x - ring[a])) / (ring[b] - ring[a]);
    bass = Math.min(bass, y);
    treble = Math.max(treble, y);
  }
  return bass < treble ? { bass, treble } : undefined;
}

/** Plain least squares through the mid-points every 1 mm over 10–30 % and 70–90 % of the length. */
function midLine(ring: Float64Array, joint: number, length: number): { slope: number; offset: number } {
  let [n, sx, sy, sxx, sxy] = [0, 0, 0, 0, 0];
  for (const [from, to] of [
    [0.1, 0.3],
    [0.7, 0.9],
  ]) {
    for (let x = joint + from * length; x <= joint + to * length; x += 1) {
      const sides = sidesAt(ring, x);
      if (!sides) continue;
      const y = (sides.bass + sides.treble) / 2;
      n++;
      sx += x;
      sy += y;
      sxx += x * x;
      sxy += x * y;
    }
  }
  const slope = (n * sxy - sx * sy) / (n * sxx - sx * sx);
  return { slope, offset: (sy - slope * sx) / n };
}

function at(m: Motion, p: Vec3): Vec3 {
  const row = (r: number): number => m[4 * r] * p[0] + m[4 * r + 1] * p[1] + m[4 * r + 2] * p[2] + m[4 * r + 3];
  return [row(0), row(1), row(2)];
}

function moved(m: Motion, p: Float64Array): Float64Array {
  const out = new Float64Array(p.length);
  for (let i = 0; i < p.length; i += 3)
    for (let r = 0; r < 3; r++) out[i + r] = m[4 * r] * p[i] + m[4 * r + 1] * p[i + 1] + m[4 * r + 2] * p[i + 2] + m[4 * r + 3];
  return out;
}
