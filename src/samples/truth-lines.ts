/** Plain geometry that the definitions ask for, on dense noise-free points. */

export interface SupportLine {
  /** Height at x = 0 and slope. */
  readonly z0: number;
  readonly slope: number;
  /** Share of the profile that the line spans. */
  readonly span: number;
  /** A straightedge rocks on a hump: the least-squares line then. */
  readonly rocks: boolean;
  /** Places between which it rests: beyond them it overhangs. */
  readonly from: number;
  readonly to: number;
}

/** Where a straightedge comes to rest from above: the edge of the upper hull that spans the profile's middle. x ascends. */
export function supportLine(x: ArrayLike<number>, z: ArrayLike<number>): SupportLine {
  const hull: number[] = [];
  for (let i = 0; i < x.length; i++) {
    while (hull.length > 1) {
      const a = hull[hull.length - 2];
      const b = hull[hull.length - 1];
      if ((z[b] - z[a]) * (x[i] - x[a]) <= (z[i] - z[a]) * (x[b] - x[a])) hull.pop();
      else break;
    }
    hull.push(i);
  }
  const middle = (x[0] + x[x.length - 1]) / 2;
  let k = 0;
  while (k + 2 < hull.length && x[hull[k + 1]] < middle) k++;
  const a = hull[k];
  const b = hull[k + 1];
  const span = (x[b] - x[a]) / (x[x.length - 1] - x[0]);
  if (span < 0.5) {
    const fit = straightLine(x, z);
    return { z0: fit.at0, slope: fit.slope, span, rocks: true, from: x[a], to: x[b] };
  }
  const slope = (z[b] - z[a]) / (x[b] - x[a]);
  return { z0: z[a] - slope * x[a], slope, span, rocks: false, from: x[a], to: x[b] };
}

/** Least-squares line y(x), points weighted alike. */
export function straightLine(x: ArrayLike<number>, y: ArrayLike<number>): { at0: number; slope: number } {
  const n = x.length;
  let mx = 0;
  let my = 0;
  for (let i = 0; i < n; i++) {
    mx += x[i] / n;
    my += y[i] / n;
  }
  let sxx = 0;
  let sxy = 0;
  for (let i = 0; i < n; i++) {
    sxx += (x[i] - mx) * (x[i] - mx);
    sxy += (x[i] - mx) * (y[i] - my);
  }
  const slope = sxy / sxx;
  return { at0: my - slope * mx, slope };
}

/** Radius of the circle that fits points best at right angles (Gauss–Newton from the circle through three of them). */
export function circleRadius(u: ArrayLike<number>, v: ArrayLike<number>): number {
  const n = u.length;
  let [a, b, r] = circumcircle(u[0], v[0], u[n >> 1], v[n >> 1], u[n - 1], v[n - 1]);
  for (let round = 0; round < 50; round++) {
    const m = [0, 0, 0, 0, 0, 0];
    const g = [0, 0, 0];
    for (let i = 0; i < n; i++) {
      const dx = u[i] - a;
      const dy = v[i] - b;
      const d = Math.hypot(dx, dy);
      const j = [-dx / d, -dy / d, -1];
      const e = d - r;
      m[0] += j[0] * j[0];
      m[1] += j[0] * j[1];
      m[2] += j[0] * j[2];
      m[3] += j[1] * j[1];
      m[4] += j[1] * j[2];
      m[5] += j[2] * j[2];
      for (let k = 0; k < 3; k++) g[k] -= j[k] * e;
    }
    const d = solveSymmetric(m, g);
    a += d[0];
    b += d[1];
    r += d[2];
    if (Math.hypot(d[0], d[1], d[2]) < 1e-10 * r) break;
  }
  return r;
}

function circumcircle(x0: number, y0: number, x1: number, y1: number, x2: number, y2: number): [number, number, number] {
  const ax = x1 - x0;
  const ay = y1 - y0;
  const bx = x2 - x0;
  const by = y2 - y0;
  const d = 2 * (ax * by - ay * bx);
  const cx = x0 + (by * (ax * ax + ay * ay) - ay * (bx * bx + by * by)) / d;
  const cy = y0 + (ax * (bx * bx + by * by) - bx * (ax * ax + ay * ay)) / d;
  return [cx, cy, Math.hypot(x0 - cx, y0 - cy)];
}

/** Solves a symmetric 3 × 3 system given by its upper triangle (Cramer). */
function solveSymmetric(m: readonly number[], g: readonly number[]): [number, number, number] {
  const [a, b, c, d, e, f] = m;
  const c00 = d * f - e * e;
  const c01 = c * e - b * f;
  const c02 = b * e - c * d;
  const det = a * c00 + b * c01 + c * c02;
  return [
    (c00 * g[0] + c01 * g[1] + c02 * g[2]) / det,
    (c01 * g[0] + (a * f - c * c) * g[1] + (b * c - a * e) * g[2]) / det,
    (c02 * g[0] + (b * c - a * e) * g[1] + (a * d - b * b) * g[2]) / det,
  ];
}
