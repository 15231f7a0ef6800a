/** Standard normal distribution. */

const SQRT_2 = Math.SQRT2;
const SQRT_2_PI = Math.sqrt(2 * Math.PI);

/**
 * Error function, to about 1e-15: series below 2, continued fraction above.
 *
 * @see Abramowitz & Stegun 7.1.6, 7.1.14
 */
export function erf(x: number): number {
  if (Number.isNaN(x)) return x;
  const t = Math.abs(x);
  return Math.sign(x) * (t < SERIES_UP_TO ? erfSeries(t) : 1 - erfcFraction(t));
}

/** 1 − erf(x) without loss of digits for large x. */
export function erfc(x: number): number {
  return x < SERIES_UP_TO ? 1 - erf(x) : erfcFraction(x);
}

/** Probability of a value below z. */
export function normalProbability(z: number): number {
  return erfc(-z / SQRT_2) / 2;
}

/**
 * The value below which the probability p lies.
 *
 * @throws {RangeError} p outside 0…1
 * @see Acklam's rational approximation (relative error 1.15e-9), then one step of Halley's method
 */
export function normalQuantile(p: number): number {
  if (!(p >= 0 && p <= 1)) throw new RangeError(`a quantile is asked for a probability between 0 and 1, not ${p}`);
  if (p === 0) return Number.NEGATIVE_INFINITY;
  if (p === 1) return Number.POSITIVE_INFINITY;
  if (p > 0.5) return -normalQuantile(1 - p);
  const z = acklam(p);
  const excess = (normalProbability(z) - p) * SQRT_2_PI * Math.exp((z * z) / 2);
  return z - excess / (1 + (z * excess) / 2);
}

/** Below, the series needs few terms and cancels nothing; above, the fraction converges fast. */
const SERIES_UP_TO = 2;

function erfSeries(x: number): number {
  let term = x;
  let sum = x;
  for (let n = 1; Math.abs(term) > Number.EPSILON * sum; n++) {
    term *= (2 * x * x) / (2 * n + 1);
    sum += term;
  }
  return (2 / Math.sqrt(Math.PI)) * Math.exp(-x * x) * sum;
}

/** e^(−x²) / √π × 1/(x + (1/2)/(x + 1/(x + (3/2)/(x + …)))), from the inside out. */
function erfcFraction(x: number): number {
  const depth = 80;
  let tail = x;
  for (let k = depth; k > 0; k--) tail = x + k / 2 / tail;
  return Math.exp(-x * x) / Math.sqrt(Math.PI) / tail;
}

function acklam(p: number): number {
  if (p < 0.02425) {
    const q = Math.sqrt(-2 * Math.log(p));
    return (
      (((((-7.784894002430293e-3 * q - 0.3223964580411365) * q - 2.400758277161838) * q - 2.549732539343734) * q + 4.374664141464968) * q +
        2.938163982698783) /
      ((((7.784695709041462e-3 * q + 0.3224671290700398) * q + 2.445134137142996) * q + 3.754408661907416) * q + 1)
    );
  }
  const q = p - 0.5;
  const r = q * q;
  return (
    ((((((-39.69683028665376 * r + 220.9460984245205) * r - 275.9285104469687) * r + 138.357751867269) * r - 30.66479806614716) * r +
      2.506628277459239) *
      q) /
    (((((-54.47609879822406 * r + 161.5858368580409) * r - 155.6989798598866) * r + 66.80131188771972) * r - 13.28068155288572) * r + 1)
  );
}
