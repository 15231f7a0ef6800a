import { meanAndSd } from './statistics.ts';

export interface MonteCarloResult {
  readonly mean: number;
  /** Standard uncertainty: standard deviation of the draws. */
  readonly u: number;
  /** Shortest interval that holds the share `coverage` of the draws. */
  readonly low: number;
  readonly high: number;
}

/**
 * Propagation of distributions: what the draws of an output say.
 *
 * @param draws  model values, one a trial; at least 1 / (1 − coverage) of them
 * @param coverage  share of the draws within the interval
 * @throws {RangeError} too few draws, a draw that is not finite, a coverage outside 0…1
 * @see JCGM 101:2008, 7.6 and 7.7
 */
export function summariseDraws(draws: ArrayLike<number>, coverage = 0.95): MonteCarloResult {
  const { mean, sd } = meanAndSd(draws);
  const { low, high } = shortestInterval(draws, coverage);
  return { mean, u: sd, low, high };
}

/** The shortest interval with the share `coverage` of the draws (JCGM 101:2008, 5.3.4 and 7.7.4). @throws as `summariseDraws` */
export function shortestInterval(draws: ArrayLike<number>, coverage: number): { readonly low: number; readonly high: number } {
  if (!(coverage > 0 && coverage < 1)) throw new RangeError(`a coverage lies between 0 and 1, not ${coverage}`);
  const sorted = Float64Array.from(draws).sort();
  const inside = Math.floor(coverage * sorted.length + 0.5);
  if (!(inside >= 1 && inside < sorted.length)) {
    throw new RangeError(`an interval for ${coverage} of the draws needs more than ${sorted.length} of them`);
  }
  if (!(Number.isFinite(sorted[0]) && Number.isFinite(sorted[sorted.length - 1]))) throw new RangeError('a draw is not finite');
  let best = 0;
  for (let r = 1; r + inside < sorted.length; r++) {
    if (sorted[r + inside] - sorted[r] < sorted[best + inside] - sorted[best]) best = r;
  }
  return { low: sorted[best], high: sorted[best + inside] };
}
