/** Interval of a ratio a ÷ b, or why there is none. */
export type FiellerInterval =
  | { readonly kind: 'bounded'; readonly low: number; readonly high: number }
  /** b is not told from 0: the interval is the whole line, or all but a gap. */
  | { readonly kind: 'unbounded' };

/**
 * Fieller's interval of the ratio of two estimates with known covariance: all r for which a − r b is not told from 0.
 *
 * @param k  coverage factor: normal or Student quantile
 * @see Fieller, J. R. Statist. Soc. B 16 (1954) 175
 */
export function fieller(a: number, b: number, varianceA: number, varianceB: number, covariance: number, k: number): FiellerInterval {
  // (a − r b)² = k² (va − 2 r cov + r² vb)
  const k2 = k * k;
  const square = b * b - k2 * varianceB;
  if (!(square > 0)) return { kind: 'unbounded' };
  const half = a * b - k2 * covariance;
  const rest = a * a - k2 * varianceA;
  const root = Math.sqrt(Math.max(0, half * half - square * rest));
  return { kind: 'bounded', low: (half - root) / square, high: (half + root) / square };
}
