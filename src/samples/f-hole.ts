import type { BodySpec } from './body-spec.ts';

type Point = readonly [number, number];

/** A sound hole in plan, in drawing coordinates. */
export interface FHole {
  /** Contour, anticlockwise, about every 0.25 mm (violin). */
  readonly ring: readonly Point[];
  /** Tip of the inner notch, where its flanks meet. */
  readonly innerNotch: Point;
}

/** The f of a violin's treble side, 70 mm long, as offsets from its inner notch; x towards the tail, y outwards. */
const UPPER_EYE: Point = [-33.5, -9.3];
const LOWER_EYE: Point = [32.2, 16.8];
const UPPER_RADIUS = 3.3;
const LOWER_RADIUS = 4.7;
/** Middle of the stem from the upper eye's outer side round to the lower eye's inner side. */
const STEM: readonly Point[] = [
  [-35.6, -11.0],
  [-38.2, -6.6],
  [-35.5, -1.6],
  [-28.5, 0.7],
  [-15, 1.6],
  [0, 3.6],
  [15, 6.6],
  [26, 8.9],
  [34.6, 10.9],
  [38.9, 14.6],
  [36.2, 20.6],
];
/** Half the stem's width at those points. */
const STEM_HALF = [0.5, 0.85, 1.3, 1.85, 2.7, 3.35, 2.95, 2.15, 1.5, 1.0, 0.5];
/** Notches: half their opening and their depth into the plate, at the stem's middle. */
const NOTCH_HALF = 1.35;
const NOTCH_DEPTH = 2.1;
const DRAWN_LENGTH = 78;
/** Step of the grid on which the contour is traced, on the 70 mm f. */
const TRACE_STEP = 0.3;

/** The f as drawn, traced once. */
let contour: { readonly ring: readonly Point[]; readonly tip: Point } | undefined;

function drawShape(): { readonly ring: readonly Point[]; readonly tip: Point } {
  const { inside, tip } = fShape();
  return { ring: trace(inside), tip };
}

/** Draws the f-hole of one side (−1 bass, 1 treble). */
export function drawFHole(spec: BodySpec, side: -1 | 1): FHole {
  const f = spec.fHoles;
  const scale = f.length / DRAWN_LENGTH;
  const notchX = side < 0 ? f.notchBass : f.notchTreble;
  contour ??= drawShape();
  const { tip } = contour;
  const ring = contour.ring.map(([u, v]) => [notchX + scale * (u - tip[0]), side * (f.notchHalfSpan + scale * (v - tip[1]))] as const);
  // Mirroring turns the ring round.
  return { ring: side < 0 ? ring : [...ring].reverse(), innerNotch: [notchX, side * f.notchHalfSpan] };
}

/** Signed measure, negative inside the hole, and the tip of its inner notch. */
function fShape(): { inside: (u: number, v: number) => number; tip: Point } {
  const path: { u: number; v: number; half: number }[] = [];
  const pieces = STEM.length - 1;
  for (let i = 0; i < pieces; i++) {
    for (let k = 0; k < 12; k++) {
      const t = k / 12;
      const at = (get: (j: number) => number) => catmull(get(Math.max(0, i - 1)), get(i), get(i + 1), get(Math.min(pieces, i + 2)), t);
      path.push({ u: at((j) => STEM[j][0]), v: at((j) => STEM[j][1]), half: at((j) => STEM_HALF[j]) });
    }
  }
  const middle = path[5 * 12];
  const along = path[5 * 12 + 1];
  const length = Math.hypot(along.u - middle.u, along.v - middle.v);
  const tu = (along.u - middle.u) / length;
  const tv = (along.v - middle.v) / length;
  const apex = middle.half + NOTCH_DEPTH;
  const notch = (u: number, v: number): number => {
    // The lozenge of both notches: flanks from the stem's sides to the tips.
    const a = Math.abs((u - middle.u) * tu + (v - middle.v) * tv);
    const n = Math.abs(-(u - middle.u) * tv + (v - middle.v) * tu);
    const c = NOTCH_DEPTH / Math.hypot(NOTCH_HALF, NOTCH_DEPTH);
    return Math.max((a - (NOTCH_HALF * (apex - n)) / NOTCH_DEPTH) * c, n - apex);
  };
  const inside = (u: number, v: number): number => {
    let d = Math.min(
      Math.hypot(u - UPPER_EYE[0], v - UPPER_EYE[1]) - UPPER_RADIUS,
      Math.hypot(u - LOWER_EYE[0], v - LOWER_EYE[1]) - LOWER_RADIUS,
    );
    for (const p of path) d = Math.min(d, Math.hypot(u - p.u, v - p.v) - p.half);
    const n = Math.abs(-(u - middle.u) * tv + (v - middle.v) * tu);
    if (n > 0.6 * middle.half) d = Math.min(d, notch(u, v));
    return d;
  };
  return { inside, tip: [middle.u + apex * tv, middle.v - apex * tu] };
}

function catmull(a: number, b: number, c: number, d: number, t: number): number {
  return b + 0.5 * t * (c - a + t * (2 * a - 5 * b + 4 * c - d + t * (3 * (b - c) + d - a)));
}

/** Traces the zero line of `inside` (marching squares on a grid, points refined by bisection) and returns its longest ring. */
function trace(inside: (u: number, v: number) => number): Point[] {
  const u0 = -44;
  const v0 = -18;
  const nu = Math.ceil(90 / TRACE_STEP);
  const nv = Math.ceil(46 / TRACE_STEP);
  const value = new Float64Array((nu + 1) * (nv + 1));
  for (let i = 0; i <= nu; i++)
    for (let j = 0; j <= nv; j++) value[i * (nv + 1) + j] = inside(u0 + i * TRACE_STEP, v0 + j * TRACE_STEP) + 1e-7;
  const next = new Map<number, number>();
  const crossing = (i: number, j: number, e: number): number => {
    // Edges: 0 from (i, j) along u, 1 from (i, j) along v.
    return 2 * (i * (nv + 1) + j) + e;
  };
  for (let i = 0; i < nu; i++) {
    for (let j = 0; j < nv; j++) {
      const inCorner = (a: number, b: number) => value[(i + a) * (nv + 1) + j + b] < 0;
      // Walk round the cell; the hole lies to the left of the line from where one enters it to where one leaves.
      const edges = [crossing(i, j, 0), crossing(i + 1, j, 1), crossing(i, j + 1, 0), crossing(i, j, 1)];
      const corners = [inCorner(0, 0), inCorner(1, 0), inCorner(1, 1), inCorner(0, 1)];
      const leave: number[] = [];
      const enter: number[] = [];
      for (let k = 0; k < 4; k++) {
        if (corners[k] && !corners[(k + 1) % 4]) leave.push(k);
        if (!corners[k] && corners[(k + 1) % 4]) enter.push(k);
      }
      leave.forEach((k, m) => {
        next.set(edges[k], edges[enter[m % enter.length]]);
      });
    }
  }
  let best: number[] = [];
  const done = new Set<number>();
  for (const start of next.keys()) {
    if (done.has(start)) continue;
    const ring: number[] = [];
    let at: number | undefined = start;
    while (at !== undefined && !done.has(at)) {
      done.add(at);
      ring.push(at);
      at = next.get(at);
    }
    if (ring.length > best.length) best = ring;
  }
  return best.map((edge) => {
    const cell = edge >> 1;
    const i = Math.floor(cell / (nv + 1));
    const j = cell % (nv + 1);
    const du = edge % 2 === 0 ? 1 : 0;
    const at = (t: number): Point => [u0 + (i + t * du) * TRACE_STEP, v0 + (j + t * (1 - du)) * TRACE_STEP];
    let lo = 0;
    let hi = 1;
    const low = inside(...at(0)) < 0;
    for (let k = 0; k < 20; k++) {
      const mid = (lo + hi) / 2;
      if (inside(...at(mid)) < 0 === low) lo = mid;
      else hi = mid;
    }
    return at((lo + hi) / 2);
  });
}
