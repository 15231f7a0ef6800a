/** Weighted mean and second moments about it. */
export interface Scatter {
  /** Points with weight above zero. */
  readonly count: number;
  /** Σ w. */
  readonly weight: number;
  readonly centroid: Float64Array;
  /** dimension × dimension row-major: Σ w (p − centroid)(p − centroid)ᵀ. */
  readonly moments: Float64Array;
}

/**
 * @param points  flat coordinates, `dimension` a point
 * @param weights  one a point, ≥ 0
 * @throws {RangeError} a length that does not match, a negative weight, no weight at all, a coordinate that is not finite
 */
export function weightedScatter(points: ArrayLike<number>, dimension: number, weights: ArrayLike<number> | undefined): Scatter {
  const n = points.length / dimension;
  if (!Number.isInteger(n)) throw new RangeError(`${points.length} coordinates are not a whole number of points with ${dimension} each`);
  if (weights !== undefined && weights.length !== n) throw new RangeError(`${n} points need ${n} weights, ${weights.length} given`);
  const centroid = new Float64Array(dimension);
  let weight = 0;
  let count = 0;
  for (let i = 0; i < n; i++) {
    const w = weights === undefined ? 1 : weights[i];
    if (!(w >= 0)) throw new RangeError(`a weight must be zero or more, not ${w}`);
    if (w > 0) count++;
    weight += w;
    // Relative to the first point, so that points far from the origin keep their digits.
    for (let k = 0; k < dimension; k++) centroid[k] += w * (points[i * dimension + k] - points[k]);
  }
  if (!(weight > 0)) throw new RangeError('a fit needs at least one point with weight');
  for (let k = 0; k < dimension; k++) {
    centroid[k] = centroid[k] / weight + points[k];
    if (!Number.isFinite(centroid[k])) throw new RangeError('a point to be fitted has a coordinate that is not finite');
  }
  return { count, weight, centroid, moments: momentsAbout(points, dimension, weights, centroid) };
}

function momentsAbout(
  points: ArrayLike<number>,
  dimension: number,
  weights: ArrayLike<number> | undefined,
  centroid: Float64Array,
): Float64Array {
  const moments = new Float64Array(dimension * dimension);
  const d = new Float64Array(dimension);
  for (let i = 0, base = 0; base < points.length; i++, base += dimension) {
    const w = weights === undefined ? 1 : weights[i];
    for (let k = 0; k < dimension; k++) d[k] = points[base + k] - centroid[k];
    for (let a = 0; a < dimension; a++) for (let b = a; b < dimension; b++) moments[a * dimension + b] += w * d[a] * d[b];
  }
  for (let a = 0; a < dimension; a++) for (let b = 0; b < a; b++) moments[a * dimension + b] = moments[b * dimension + a];
  return moments;
}
