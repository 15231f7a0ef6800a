/** Lanczos coefficients, g = 7, n = 9: ln Γ within 1e-15 relative for x ≥ 0.5. */
const LANCZOS = [
  0.9999999999998099, 676.5203681218851, -1259.1392167224028, 771.3234287776531, -176.6150291621406, 12.507343278686905,
  -0.13857109526572012, 9.984369578019572e-6, 1.5056327351493116e-7,
] as const;

/** Natural logarithm of the gamma function of x > 0. */
export function logGamma(x: number): number {
  if (!(x > 0)) throw new RangeError(`ln Γ is needed of values above zero, not of ${x}`);
  if (x < 0.5) return Math.log(Math.PI / Math.sin(Math.PI * x)) - logGamma(1 - x);
  const t = x - 1 + 7.5;
  let sum: number = LANCZOS[0];
  for (let i = 1; i < LANCZOS.length; i++) sum += LANCZOS[i] / (x - 1 + i);
  return 0.5 * Math.log(2 * Math.PI) + (x - 0.5) * Math.log(t) - t + Math.log(sum);
}

/**
 * Regularised incomplete beta function I_x(a, b): the probability that a beta variable stays below x.
 *
 * @throws {RangeError} a or b not above zero, x outside 0…1
 * @see Abramowitz & Stegun 26.5.8 (continued fraction), evaluated by Lentz's method
 */
export function incompleteBeta(a: number, b: number, x: number): number {
  if (!(a > 0 && b > 0)) throw new RangeError(`the incomplete beta function needs parameters above zero, not ${a} and ${b}`);
  if (!(x >= 0 && x <= 1)) throw new RangeError(`the incomplete beta function is asked for between 0 and 1, not ${x}`);
  if (x === 0 || x === 1) return x;
  const front = Math.exp(logGamma(a + b) - logGamma(a) - logGamma(b) + a * Math.log(x) + b * Math.log1p(-x));
  // The fraction converges fast only on this side of the mean.
  return x < (a + 1) / (a + b + 2) ? (front * fraction(a, b, x)) / a : 1 - (front * fraction(b, a, 1 - x)) / b;
}

/** The x below which a beta variable stays with probability p, by bisection. */
export function inverseIncompleteBeta(a: number, b: number, p: number): number {
  if (!(p >= 0 && p <= 1)) throw new RangeError(`a quantile is asked for a probability between 0 and 1, not ${p}`);
  if (p === 0 || p === 1) return p;
  let low = 0;
  let high = 1;
  for (let i = 0; i < MOST_HALVINGS && high - low > Number.EPSILON * high; i++) {
    const middle = (low + high) / 2;
    if (incompleteBeta(a, b, middle) < p) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** Enough to reach the last bit of an x as small as 1e-20. */
const MOST_HALVINGS = 120;
const MOST_TERMS = 10_000;
/** Keeps Lentz's quotients away from zero. */
const TINY = 1e-300;

function fraction(a: number, b: number, x: number): number {
  let c = 1;
  let d = 1 / nonZero(1 - ((a + b) * x) / (a + 1));
  let h = d;
  for (let m = 1; m < MOST_TERMS; m++) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
    d = 1 / nonZero(1 + even * d);
    c = nonZero(1 + even / c);
    h *= d * c;
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
    d = 1 / nonZero(1 + odd * d);
    c = nonZero(1 + odd / c);
    const factor = d * c;
    h *= factor;
    if (Math.abs(factor - 1) < Number.EPSILON) return h;
  }
  throw new RangeError(`the incomplete beta function did not converge for parameters ${a} and ${b}`);
}

function nonZero(v: number): number {
  return Math.abs(v) < TINY ? TINY : v;
}
