/** Median absolute deviation → standard deviation of normal data: 1 / Φ⁻¹(3/4). */
const MAD_TO_SIGMA = 1.4826022185056018;

/** Arithmetic mean, or the weighted mean Σwx / Σw. Two passes, so that data far from zero keep their digits. */
export function mean(values: ArrayLike<number>, weights?: ArrayLike<number>): number {
  const total = totalWeight(values, weights);
  let first = 0;
  for (let i = 0; i < values.length; i++) first += weights === undefined ? values[i] : weights[i] * values[i];
  first /= total;
  let rest = 0;
  for (let i = 0; i < values.length; i++) rest += weights === undefined ? values[i] - first : weights[i] * (values[i] - first);
  return first + rest / total;
}

/** Mean and sample standard deviation (divisor n − 1). @throws {RangeError} fewer than two values */
export function meanAndSd(values: ArrayLike<number>): { readonly mean: number; readonly sd: number } {
  if (values.length < 2) throw new RangeError(`a standard deviation needs at least two values, ${values.length} given`);
  const centre = mean(values);
  let squares = 0;
  let drift = 0;
  for (let i = 0; i < values.length; i++) {
    const d = values[i] - centre;
    squares += d * d;
    drift += d;
  }
  // What rounding left in the mean is taken out again (Chan, Golub & LeVeque 1983).
  return { mean: centre, sd: Math.sqrt((squares - (drift * drift) / values.length) / (values.length - 1)) };
}

/** Sample standard deviation (divisor n − 1). @throws {RangeError} fewer than two values */
export function sd(values: ArrayLike<number>): number {
  return meanAndSd(values).sd;
}

/** Spread about the weighted mean: √(Σ w (x − m)² / Σ w). The weights are areas or counts, not 1/u². */
export function weightedSd(values: ArrayLike<number>, weights: ArrayLike<number>): number {
  const centre = mean(values, weights);
  let squares = 0;
  let total = 0;
  for (let i = 0; i < values.length; i++) {
    squares += weights[i] * (values[i] - centre) ** 2;
    total += weights[i];
  }
  return Math.sqrt(squares / total);
}

/** Root mean square. @throws {RangeError} no values */
export function rms(values: ArrayLike<number>): number {
  if (values.length === 0) throw new RangeError('a root mean square needs at least one value');
  let squares = 0;
  for (let i = 0; i < values.length; i++) squares += values[i] * values[i];
  return Math.sqrt(squares / values.length);
}

/** Value below which the share `p` of the data lies: linear between order statistics (Hyndman & Fan 1996, type 7). */
export function quantile(values: ArrayLike<number>, p: number): number {
  if (!(p >= 0 && p <= 1)) throw new RangeError(`a quantile is asked for a share between 0 and 1, not ${p}`);
  const sorted = sortedCopy(values);
  const position = p * (sorted.length - 1);
  const below = Math.floor(position);
  const share = position - below;
  return share === 0 ? sorted[below] : sorted[below] + share * (sorted[below + 1] - sorted[below]);
}

export function median(values: ArrayLike<number>): number {
  return quantile(values, 0.5);
}

/** Value at which half of the weight lies below: interpolated between neighbours at the middle of each value's own weight. */
export function weightedMedian(values: ArrayLike<number>, weights: ArrayLike<number>): number {
  return weightedQuantile(values, weights, 0.5);
}

/** Like `quantile`, with the share counted in weight; each value stands at the middle of its own weight. */
export function weightedQuantile(values: ArrayLike<number>, weights: ArrayLike<number>, p: number): number {
  if (!(p >= 0 && p <= 1)) throw new RangeError(`a quantile is asked for a share between 0 and 1, not ${p}`);
  const total = totalWeight(values, weights);
  const order = Uint32Array.from({ length: values.length }, (_, i) => i)
    .filter((i) => weights[i] > 0)
    .sort((i, j) => values[i] - values[j]);
  const target = p * total;
  let before = 0;
  let lastMiddle = 0;
  for (let k = 0; k < order.length; k++) {
    const i = order[k];
    const middle = before + weights[i] / 2;
    if (middle >= target) {
      if (k === 0) return values[i];
      const previous = values[order[k - 1]];
      return previous + ((target - lastMiddle) / (middle - lastMiddle)) * (values[i] - previous);
    }
    before += weights[i];
    lastMiddle = middle;
  }
  return values[order[order.length - 1]];
}

/** Median absolute deviation from the median, scaled to the standard deviation of normal data. */
export function mad(values: ArrayLike<number>): number {
  const centre = median(values);
  return MAD_TO_SIGMA * median(Float64Array.from(values, (v) => Math.abs(v - centre)));
}

/** Weighted `mad`. */
export function weightedMad(values: ArrayLike<number>, weights: ArrayLike<number>): number {
  const centre = weightedMedian(values, weights);
  return (
    MAD_TO_SIGMA *
    weightedMedian(
      Float64Array.from(values, (v) => Math.abs(v - centre)),
      weights,
    )
  );
}

function sortedCopy(values: ArrayLike<number>): Float64Array {
  if (values.length === 0) throw new RangeError('a quantile needs at least one value');
  const copy = Float64Array.from(values);
  for (let i = 0; i < copy.length; i++) if (Number.isNaN(copy[i])) throw new RangeError(`value ${i} is not a number: it has no rank`);
  return copy.sort();
}

/** @throws {RangeError} no values, another number of weights than of values, a negative weight, no weight above zero */
function totalWeight(values: ArrayLike<number>, weights: ArrayLike<number> | undefined): number {
  if (values.length === 0) throw new RangeError('an average needs at least one value');
  if (weights === undefined) return values.length;
  if (weights.length !== values.length) throw new RangeError(`${values.length} values need as many weights, ${weights.length} given`);
  let total = 0;
  for (let i = 0; i < weights.length; i++) {
    if (!(weights[i] >= 0)) throw new RangeError(`a weight must be zero or more, not ${weights[i]}`);
    total += weights[i];
  }
  if (!(total > 0)) throw new RangeError('an average needs at least one weight above zero');
  return total;
}
