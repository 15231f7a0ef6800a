import { inverseIncompleteBeta } from './incomplete-beta.ts';

/**
 * Exact (Clopper–Pearson) interval for a share of which `successes` in `trials` were seen.
 *
 * @param confidence  e.g. 0.95, two-sided
 * @throws {RangeError} counts that are not whole numbers with 0 ≤ successes ≤ trials and trials > 0; confidence outside 0…1
 * @see Clopper & Pearson, Biometrika 26 (1934) 404
 */
export function clopperPearson(successes: number, trials: number, confidence: number): { readonly low: number; readonly high: number } {
  if (!(Number.isInteger(successes) && Number.isInteger(trials) && trials > 0 && successes >= 0 && successes <= trials)) {
    throw new RangeError(`a share needs whole counts of successes among trials, not ${successes} of ${trials}`);
  }
  if (!(confidence > 0 && confidence < 1)) throw new RangeError(`a confidence lies between 0 and 1, not ${confidence}`);
  const tail = (1 - confidence) / 2;
  return {
    low: successes === 0 ? 0 : inverseIncompleteBeta(successes, trials - successes + 1, tail),
    high: successes === trials ? 1 : inverseIncompleteBeta(successes + 1, trials - successes, 1 - tail),
  };
}
