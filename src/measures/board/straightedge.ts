/** Where a straightedge comes to rest on a profile: height = z0 + slope·x; mm. */
export interface RestingLine {
  readonly z0: number;
  readonly slope: number;
  /** Deepest gap under it, along z, mm; for a hump minus the greatest height over the end-to-end chord. */
  readonly gap: number;
  /** Whether the straightedge rocks: it would rest over less than half of the profile, so the line is the least-squares line. */
  readonly rocks: boolean;
}

/** Share of the profile that the straightedge must span to lie still (the definition's half). */
const LEAST_SPAN = 0.5;

/**
 * The supporting line from above that spans the middle of a profile, by the upper hull.
 *
 * @param x  n ≥ 3 rising abscissae, mm, even steps
 * @param z  n heights, mm: of a smooth model, never of noisy points
 */
export function restStraightedge(x: ArrayLike<number>, z: ArrayLike<number>): RestingLine {
  const n = x.length;
  const middle = (x[0] + x[n - 1]) / 2;
  const hull = upperHull(x, z);
  let k = 1;
  while (k < hull.length - 1 && x[hull[k]] < middle) k++;
  const from = hull[k - 1];
  const to = hull[k];
  if (x[to] - x[from] >= LEAST_SPAN * (x[n - 1] - x[0])) {
    const slope = (z[to] - z[from]) / (x[to] - x[from]);
    const z0 = z[from] - slope * x[from];
    return { z0, slope, gap: deepest(x, z, z0, slope, from, to), rocks: false };
  }
  const chord = (z[n - 1] - z[0]) / (x[n - 1] - x[0]);
  let hump = 0;
  for (let i = 0; i < n; i++) hump = Math.max(hump, z[i] - z[0] - chord * (x[i] - x[0]));
  return { ...leastSquaresLine(x, z), gap: -hump, rocks: true };
}

function upperHull(x: ArrayLike<number>, z: ArrayLike<number>): number[] {
  const hull: number[] = [];
  for (let i = 0; i < x.length; i++) {
    while (hull.length >= 2) {
      const a = hull[hull.length - 2];
      const b = hull[hull.length - 1];
      if ((z[b] - z[a]) * (x[i] - x[a]) > (z[i] - z[a]) * (x[b] - x[a])) break;
      hull.pop();
    }
    hull.push(i);
  }
  return hull;
}

function deepest(x: ArrayLike<number>, z: ArrayLike<number>, z0: number, slope: number, from: number, to: number): number {
  let gap = 0;
  for (let i = from; i <= to; i++) gap = Math.max(gap, z0 + slope * x[i] - z[i]);
  return gap;
}

function leastSquaresLine(x: ArrayLike<number>, z: ArrayLike<number>): { z0: number; slope: number } {
  const n = x.length;
  let sx = 0;
  let sz = 0;
  for (let i = 0; i < n; i++) {
    sx += x[i];
    sz += z[i];
  }
  let sxx = 0;
  let sxz = 0;
  for (let i = 0; i < n; i++) {
    sxx += (x[i] - sx / n) ** 2;
    sxz += (x[i] - sx / n) * (z[i] - sz / n);
  }
  const slope = sxz / sxx;
  return { z0: sz / n - (slope * sx) / n, slope };
}
