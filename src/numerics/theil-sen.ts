import { normalQuantile } from './normal.ts';
import { median } from './statistics.ts';

export interface TheilSen {
  /** Median of the slopes of all pairs. */
  readonly slope: number;
  /** Median of y less slope × median of x. */
  readonly intercept: number;
  /** Ends of the slope's interval; the extreme slopes where the pairs are too few for it. */
  readonly low: number;
  readonly high: number;
}

/**
 * Theil and Sen's slope: no single wrong value moves it far.
 *
 * @param alpha  1 − coverage of the interval
 * @throws {RangeError} fewer than two different x
 * @see Sen, J. Am. Stat. Assoc. 63 (1968) 1379
 */
export function theilSen(x: readonly number[], y: readonly number[], alpha = 0.05): TheilSen {
  const slopes: number[] = [];
  for (let i = 0; i < x.length; i++) for (let j = 0; j < i; j++) if (x[i] !== x[j]) slopes.push((y[i] - y[j]) / (x[i] - x[j]));
  if (slopes.length === 0) throw new RangeError('a slope needs values at two different places at least');
  slopes.sort((a, b) => a - b);
  const slope = median(slopes);
  const reach = normalQuantile(1 - alpha / 2) * Math.sqrt(varianceOfS(x, y));
  const low = Math.max(0, Math.round((slopes.length - reach) / 2) - 1);
  const high = Math.min(slopes.length - 1, Math.round((slopes.length + reach) / 2));
  return { slope, intercept: median(y) - slope * median(x), low: slopes[low], high: slopes[high] };
}

/** Variance of Kendall's S with ties in x and y (Sen 1968, equation 2.6). */
function varianceOfS(x: readonly number[], y: readonly number[]): number {
  const term = (t: number): number => t * (t - 1) * (2 * t + 5);
  const ties = (v: readonly number[]): number => {
    const counts = new Map<number, number>();
    for (const value of v) counts.set(value, (counts.get(value) ?? 0) + 1);
    return [...counts.values()].reduce((sum, t) => sum + term(t), 0);
  };
  return (term(x.length) - ties(x) - ties(y)) / 18;
}
