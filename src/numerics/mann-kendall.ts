import { normalProbability } from './normal.ts';

export interface MannKendall {
  /** Rising pairs minus falling pairs. */
  readonly s: number;
  /** Variance of S without a trend, ties taken into account. */
  readonly variance: number;
  /** (|S| − 1) with its sign, in standard deviations. */
  readonly z: number;
  /** Two-sided probability of such an S without a trend: exact for n ≤ 10 without ties, otherwise by z. */
  readonly p: number;
}

/** Values up to which the distribution of S is counted out. */
const EXACT = 10;

/**
 * Mann and Kendall's test for a trend of values in their order.
 *
 * @throws {RangeError} fewer than 2 values
 * @see Mann, Econometrica 13 (1945) 245; EPA QA/G-9S (2006), 4.3.4
 */
export function mannKendall(values: readonly number[]): MannKendall {
  const n = values.length;
  if (n < 2) throw new RangeError(`a trend needs at least 2 values, ${n} given`);
  let s = 0;
  for (let i = 0; i < n; i++) for (let j = 0; j < i; j++) s += Math.sign(values[i] - values[j]);
  const counts = new Map<number, number>();
  for (const v of values) counts.set(v, (counts.get(v) ?? 0) + 1);
  const term = (t: number): number => t * (t - 1) * (2 * t + 5);
  const ties = [...counts.values()].filter((t) => t > 1);
  const variance = (term(n) - ties.reduce((sum, t) => sum + term(t), 0)) / 18;
  const z = variance > 0 ? Math.sign(s) * (Math.max(0, Math.abs(s) - 1) / Math.sqrt(variance)) : 0;
  const p = n <= EXACT && ties.length === 0 ? exactP(n, Math.abs(s)) : 2 * (1 - normalProbability(Math.abs(z)));
  return { s, variance, z, p };
}

/** Share of the n! orders with |S| as large, by the number of inversions: each new value adds 0 … k of them. */
function exactP(n: number, s: number): number {
  let counts = [1];
  for (let k = 1; k < n; k++) {
    const next = new Array<number>(counts.length + k).fill(0);
    for (let i = 0; i < counts.length; i++) for (let j = 0; j <= k; j++) next[i + j] += counts[i];
    counts = next;
  }
  const pairs = (n * (n - 1)) / 2;
  let [all, beyond] = [0, 0];
  for (let i = 0; i <= pairs; i++) {
    all += counts[i];
    if (Math.abs(pairs - 2 * i) >= s) beyond += counts[i];
  }
  return beyond / all;
}
