import type { BodySpec } from './body-spec.ts';
import { drawFHole, type FHole } from './f-hole.ts';
import { NearestOnRing } from './nearest-on-ring.ts';
import { drawOutline, type Outline, WAIST_AT } from './outline.ts';

type Point = readonly [number, number];

/** Step of the outline that the surfaces refer to, as a share of the body's length (0.25 mm on a violin). */
const OUTLINE_STEP = 1 / 1420;

/**
 * The body's surfaces as functions, in drawing coordinates: x from the outline's upper end to the tail, z = 0 at the crest, before distortion.
 * `deform` takes drawing coordinates to the body as it is.
 */
export interface Body {
  readonly spec: BodySpec;
  readonly outline: Outline;
  readonly fHoles: readonly FHole[];
  /** Distance to the outline (d ≥ 0 inside), at most the reach beyond which the edge is flat. */
  readonly edgeDistance: (x: number, y: number) => number;
  /** Upper side of the top at distance d from the outline. */
  readonly topZ: (x: number, y: number, d: number) => number;
  /** Underside of the top's overhang. */
  readonly topUnderZ: (x: number, y: number, d: number) => number;
  /** Outer side of the back. */
  readonly backZ: (x: number, y: number, d: number) => number;
  /** Upper side of the back's overhang. */
  readonly backUpperZ: (x: number, y: number, d: number) => number;
  /** In place. */
  readonly deform: (p: Float64Array) => void;
}

export function buildBody(spec: BodySpec): Body {
  const outline = drawOutline(spec.outline, spec.outline.length * OUTLINE_STEP);
  const ring: Point[] = Array.from({ length: outline.count }, (_, i) => [outline.x[i], outline.y[i]] as const);
  const reach = spec.channelInset * 1.5;
  const near = new NearestOnRing([ring], reach);
  const arch = archShape(spec);
  const upperHalf = spec.edgeThickness / 2;
  const lowerInset = 0.8 * spec.crestInset;
  const wave = crestWave(spec);
  const rib = (x: number) => spec.ribUpper + ((spec.ribLower - spec.ribUpper) * x) / spec.outline.length;
  const backTop = (x: number) => -spec.edgeThickness - rib(x);
  const edgeUp = (d: number, extra: number, depth: number): number => {
    if (d < spec.crestInset) return -upperHalf + (upperHalf + extra) * roundOver(d / spec.crestInset);
    const t = (d - spec.crestInset) / (spec.channelInset - spec.crestInset);
    if (t < 1) return extra - (depth + extra) * (0.5 - 0.5 * Math.cos(Math.PI * t));
    return -depth;
  };
  const edgeDown = (d: number): number => -upperHalf - upperHalf * roundOver(Math.min(1, d / lowerInset));
  return {
    spec,
    outline,
    fHoles: [drawFHole(spec, -1), drawFHole(spec, 1)],
    edgeDistance: (x, y) => near.distance(x, y),
    topZ: (x, y, d) => {
      const a = d > spec.crestInset ? arch(x, y) : 0;
      return edgeUp(d, wave(x, y), spec.channelDepth) + (spec.archTop + spec.channelDepth) * a + swell(spec, x, y) * a;
    },
    topUnderZ: (_x, _y, d) => edgeDown(d),
    backZ: (x, y, d) => {
      const depth = 0.6 * spec.channelDepth;
      const a = d > spec.crestInset ? arch(x, y) : 0;
      return backTop(x) - spec.edgeThickness - edgeUp(d, 0, depth) - (spec.archBack + depth) * a;
    },
    backUpperZ: (x, _y, d) => backTop(x) - spec.edgeThickness - edgeDown(d),
    deform: deformation(spec),
  };
}

/** Quarter of an ellipse, 0 at the outline and 1 at the crest. */
function roundOver(t: number): number {
  const m = 1 - t;
  return Math.sqrt(Math.max(0, 1 - m * m));
}

/** Arching between 0 at the channel and 1 at the summit: a long arch times cross arches that reach the channel. */
function archShape(spec: BodySpec): (x: number, y: number) => number {
  const L = spec.outline.length;
  const inset = spec.channelInset;
  const half = archHalfWidth(spec);
  return (x, y) => {
    const xi = (x - inset) / (L - 2 * inset);
    if (xi <= 0 || xi >= 1) return 0;
    const b = half(x);
    const t = Math.abs(y) / b;
    if (!(t < 1)) return 0;
    const long = (1 - Math.abs(2 * xi - 1) ** 2.5) ** 1.35;
    const across = (1 - t ** 2.1) ** 1.75;
    return long * across;
  };
}

/** Half the width over which the arch rises: the outline without its corners, less the channel. */
function archHalfWidth(spec: BodySpec): (x: number) => number {
  const { length: L, widthUpper, widthWaist, widthLower } = spec.outline;
  const U = widthUpper / 2;
  const W = widthWaist / 2;
  const B = widthLower / 2;
  const e = spec.channelInset;
  const x0 = 0.2 * L;
  const x1 = 0.797 * L;
  const xs = [x0, 0.28 * L, 0.335 * L, 0.385 * L, 0.425 * L, WAIST_AT * L, 0.53 * L, 0.575 * L, 0.63 * L, 0.7 * L, x1];
  const ys = [
    U - e,
    0.9 * U - e,
    U * 0.79 - e,
    0.35 * U + 0.65 * W - 1.35 * e,
    0.12 * U + 0.88 * W - 1.3 * e,
    W - 1.2 * e,
    0.93 * W + 0.07 * B - 1.3 * e,
    0.72 * W + 0.28 * B - 1.3 * e,
    0.79 * B - e,
    0.905 * B - e,
    B - e,
  ];
  const slopes = monotoneSlopes(xs, ys);
  return (x) => {
    if (x < x0) return (U - e) * Math.sqrt(Math.max(1e-9, 1 - ((x0 - x) / (x0 - e)) ** 2.1));
    if (x > x1) return (B - e) * Math.sqrt(Math.max(1e-9, 1 - ((x - x1) / (L - e - x1)) ** 2.1));
    let i = 0;
    while (i + 2 < xs.length && x > xs[i + 1]) i++;
    const h = xs[i + 1] - xs[i];
    const t = (x - xs[i]) / h;
    const t2 = t * t;
    const t3 = t2 * t;
    return (
      (2 * t3 - 3 * t2 + 1) * ys[i] + (t3 - 2 * t2 + t) * h * slopes[i] + (3 * t2 - 2 * t3) * ys[i + 1] + (t3 - t2) * h * slopes[i + 1]
    );
  };
}

/** Slopes of a smooth curve through points, flat at both ends (Catmull and Rom). */
function monotoneSlopes(xs: readonly number[], ys: readonly number[]): number[] {
  return xs.map((_, i) => (i === 0 || i === xs.length - 1 ? 0 : (ys[i + 1] - ys[i - 1]) / (xs[i + 1] - xs[i - 1])));
}

function crestWave(spec: BodySpec): (x: number, y: number) => number {
  const { crestWave: a, crestPhase: phase } = spec.distortion;
  const k = (2 * Math.PI) / spec.outline.length;
  return (x, y) => a * (0.6 * Math.sin(2 * k * x + phase) + 0.4 * Math.cos(3 * k * y + 1.3 * phase));
}

function swell(spec: BodySpec, x: number, y: number): number {
  const { swell: a, swellAt } = spec.distortion;
  const L = spec.outline.length;
  return a * Math.exp(-(((x - 0.5 * L) / (0.22 * L)) ** 2) - ((y - swellAt) / (0.09 * L)) ** 2);
}

function deformation(spec: BodySpec): (p: Float64Array) => void {
  const d = spec.distortion;
  const L = spec.outline.length;
  const B = spec.outline.widthLower / 2;
  return (p) => {
    const u = p[0] / L;
    const v = p[1] / B;
    const y = p[1] + d.bend * Math.sin(Math.PI * u) + d.sway * Math.sin(2 * Math.PI * u) + d.lopsided * Math.max(0, v) ** 2 * u * u;
    p[0] += d.skew * v * Math.sin(Math.PI * u);
    p[2] += d.twist * (2 * u - 1) * v + d.bow * ((2 * u - 1) ** 2 - 1 / 3) + d.cup * (v * v - 0.3);
    p[1] = y;
  };
}
