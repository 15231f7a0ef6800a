/** Where a straightedge comes to rest on a profile. */
export interface SupportingLine {
  /** Height of the line at abscissa x. */
  heightAt(x: number): number;
  /** Rise a unit of x. */
  readonly slope: number;
  /** Indices of the two points on which the line rests, left and right. */
  readonly left: number;
  readonly right: number;
  /** Abscissae of those points; `right − left` is what the line spans. */
  readonly from: number;
  readonly to: number;
}

/**
 * The supporting line from above of a profile that spans a given abscissa: the edge of the upper convex hull over it. For a smooth or a modelled profile:
 * the hull of noisy points rises with their noise.
 *
 * @param x  n ≥ 2 abscissae, strictly ascending
 * @param z  n heights
 * @param at  the abscissa that the line must span, within the profile
 * @throws {RangeError} fewer than 2 points, abscissae that do not ascend, values that are not finite, or `at` outside the profile
 * @see Andrew 1979, Another efficient algorithm for convex hulls in two dimensions
 */
export function supportingLine(x: ArrayLike<number>, z: ArrayLike<number>, at: number): SupportingLine {
  const hull = upperHull(x, z);
  const last = x.length - 1;
  if (!(at >= x[0] && at <= x[last]))
    throw new RangeError(`a supporting line at ${at} is asked for, but the profile runs from ${x[0]} to ${x[last]}`);
  let edge = 1;
  while (edge < hull.length - 1 && x[hull[edge]] <= at) edge++;
  const left = hull[edge - 1];
  const right = hull[edge];
  const slope = (z[right] - z[left]) / (x[right] - x[left]);
  return { heightAt: (v) => z[left] + slope * (v - x[left]), slope, left, right, from: x[left], to: x[right] };
}

/** Indices of the corners of the upper convex hull, left to right. @throws as `supportingLine` */
export function upperHull(x: ArrayLike<number>, z: ArrayLike<number>): Uint32Array {
  if (x.length < 2) throw new RangeError(`a straightedge needs a profile of at least 2 points, ${x.length} given`);
  if (z.length !== x.length) throw new RangeError(`${x.length} abscissae need as many heights, ${z.length} given`);
  const hull = new Uint32Array(x.length);
  let count = 0;
  for (let i = 0; i < x.length; i++) {
    if (!Number.isFinite(z[i]) || !Number.isFinite(x[i])) throw new RangeError(`point ${i} of the profile is not finite`);
    if (i > 0 && !(x[i] > x[i - 1])) throw new RangeError(`the abscissae of a profile must ascend: ${x[i]} follows ${x[i - 1]}`);
    while (count > 1 && !isConvex(x, z, hull[count - 2], hull[count - 1], i)) count--;
    hull[count++] = i;
  }
  return hull.slice(0, count);
}

/** Whether b lies above the chord from a to c. */
function isConvex(x: ArrayLike<number>, z: ArrayLike<number>, a: number, b: number, c: number): boolean {
  return (z[b] - z[a]) * (x[c] - x[a]) > (z[c] - z[a]) * (x[b] - x[a]);
}
