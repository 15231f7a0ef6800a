/** Proportions from which an outline is drawn; mm. */
export interface OutlineSpec {
  readonly length: number;
  readonly widthUpper: number;
  readonly widthWaist: number;
  readonly widthLower: number;
  /** How far worn corners are rounded, mm. */
  readonly cornerWear: number;
  /** Sloping shoulders: 0 a violin's round ones, 1 a bass viol's. */
  readonly slope: number;
}

/** A closed outline in plan, anticlockwise seen from the front: from the neck along the bass side to the tail and back along the treble side. */
export interface Outline {
  readonly count: number;
  readonly x: Float64Array;
  readonly y: Float64Array;
  /** Unit normals that point into the body. */
  readonly nx: Float64Array;
  readonly ny: Float64Array;
  /** Arc length up to each point; `total` closes the curve. */
  readonly s: Float64Array;
  readonly total: number;
}

type Point = readonly [number, number];

/** Steps of a Bézier piece before the outline is sampled evenly. */
const BEZIER_STEPS = 160;
/** Where the bouts are widest and where the corners lie, as shares of the body's length. */
const WIDEST_UPPER = 0.2;
const WIDEST_LOWER = 0.797;
export const WAIST_AT = 0.478;

/** The half outline at y ≥ 0 from neck to tail. */
function halfOutline(spec: OutlineSpec): Point[] {
  const L = spec.length;
  const U = spec.widthUpper / 2;
  const W = spec.widthWaist / 2;
  const B = spec.widthLower / 2;
  const points: Point[] = [];
  const bezier = (a: Point, b: Point, c: Point, d: Point) => {
    for (let k = points.length > 0 ? 1 : 0; k <= BEZIER_STEPS; k++) {
      const t = k / BEZIER_STEPS;
      const m = 1 - t;
      const at = (i: 0 | 1) => m * m * m * a[i] + 3 * m * m * t * b[i] + 3 * m * t * t * c[i] + t * t * t * d[i];
      points.push([at(0), at(1)]);
    }
  };
  const xu = WIDEST_UPPER * L;
  const xl = WIDEST_LOWER * L;
  const round = 0.5523; // a quarter circle as a Bézier piece
  const slope = spec.slope;
  bezier([0, 0], [0, U * (round + 0.07 - 0.2 * slope)], [xu * (1 - round - 0.06 + 0.16 * slope), U], [xu, U]);
  // Upper bout: over the widest place, in, and out again to the corner.
  bezier([xu, U], [xu + 0.048 * L, U], [0.277 * L, 0.925 * U], [0.309 * L, 0.874 * U]);
  bezier([0.309 * L, 0.874 * U], [0.33 * L, 0.8405 * U], [0.344 * L, 0.855 * U], [0.3565 * L, 0.927 * U]);
  points.push([0.3725 * L, 0.912 * U]);
  // The C-bout.
  bezier([0.3725 * L, 0.912 * U], [0.373 * L, 0.8 * U], [0.402 * L, W], [WAIST_AT * L, W]);
  bezier([WAIST_AT * L, W], [0.535 * L, W], [0.574 * L, W + 0.22 * (B - W)], [0.571 * L, 0.868 * B]);
  points.push([0.5885 * L, 0.889 * B]);
  // Lower bout.
  bezier([0.5885 * L, 0.889 * B], [0.601 * L, 0.83 * B], [0.618 * L, 0.822 * B], [0.642 * L, 0.849 * B]);
  bezier([0.642 * L, 0.849 * B], [0.687 * L, 0.9 * B], [xl - 0.062 * L, B], [xl, B]);
  bezier([xl, B], [xl + (L - xl) * (round + 0.08), B], [L, B * (round + 0.04)], [L, 0]);
  return points;
}

/**
 * Outline sampled evenly at about `step` mm, its corners rounded by a Gaussian of `cornerWear`.
 */
export function drawOutline(spec: OutlineSpec, step: number): Outline {
  const half = halfOutline(spec);
  const ring: Point[] = [];
  for (const [x, y] of half) ring.push([x, -y]);
  for (let i = half.length - 2; i > 0; i--) ring.push(half[i]);
  const smooth = smoothRing(evenRing(ring, step), spec.cornerWear / step);
  return finishOutline(evenRing(smooth, step));
}

/** Arc lengths and inward normals of a closed ring. */
export function finishOutline(ring: readonly Point[]): Outline {
  const n = ring.length;
  const x = Float64Array.from(ring, (p) => p[0]);
  const y = Float64Array.from(ring, (p) => p[1]);
  const nx = new Float64Array(n);
  const ny = new Float64Array(n);
  const s = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const a = (i + n - 1) % n;
    const b = (i + 1) % n;
    const tx = x[b] - x[a];
    const ty = y[b] - y[a];
    const length = Math.hypot(tx, ty);
    nx[i] = -ty / length;
    ny[i] = tx / length;
    if (i > 0) s[i] = s[i - 1] + Math.hypot(x[i] - x[i - 1], y[i] - y[i - 1]);
  }
  const total = s[n - 1] + Math.hypot(x[0] - x[n - 1], y[0] - y[n - 1]);
  return { count: n, x, y, nx, ny, s, total };
}

/** A closed ring again, with points every `step` or slightly less. */
export function evenRing(ring: readonly Point[], step: number): Point[] {
  const n = ring.length;
  const s = [0];
  for (let i = 1; i <= n; i++) s.push(s[i - 1] + Math.hypot(ring[i % n][0] - ring[i - 1][0], ring[i % n][1] - ring[i - 1][1]));
  const count = Math.max(8, Math.ceil(s[n] / step));
  const out: Point[] = [];
  for (let k = 0, i = 0; k < count; k++) {
    const at = (s[n] * k) / count;
    while (s[i + 1] < at) i++;
    const f = (at - s[i]) / (s[i + 1] - s[i] || 1);
    const a = ring[i];
    const b = ring[(i + 1) % n];
    out.push([a[0] + f * (b[0] - a[0]), a[1] + f * (b[1] - a[1])]);
  }
  return out;
}

/** Gaussian smoothing along a ring; `sigma` in points. It rounds corners and leaves long curves where they are (within 0.01 mm). */
function smoothRing(ring: readonly Point[], sigma: number): Point[] {
  const reach = Math.ceil(3.5 * sigma);
  if (reach < 1) return [...ring];
  const weights = Array.from({ length: 2 * reach + 1 }, (_, k) => Math.exp(-0.5 * ((k - reach) / sigma) ** 2));
  const sum = weights.reduce((a, b) => a + b, 0);
  const n = ring.length;
  return ring.map((_, i) => {
    let x = 0;
    let y = 0;
    for (let k = -reach; k <= reach; k++) {
      const p = ring[(i + k + n) % n];
      x += weights[k + reach] * p[0];
      y += weights[k + reach] * p[1];
    }
    return [x / sum, y / sum] as const;
  });
}
