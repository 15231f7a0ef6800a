import { expect } from 'vitest';
import { meanAndSd } from '../../src/numerics/statistics.ts';

/**
 * Errors over their own standard uncertainties must have mean 0 and spread 1.
 *
 * @param pulls  independent trials; the tolerances are four standard errors for their number, and `freedom` degrees of freedom behind each
 *        uncertainty widen the spread as Student's distribution does
 */
export function expectPullsUnit(pulls: readonly number[], freedom: number, what: string): void {
  const { mean, sd } = meanAndSd(pulls);
  const spread = Math.sqrt(freedom / (freedom - 2));
  expect(Math.abs(mean), `mean pull of ${what}`).toBeLessThan((4 * spread) / Math.sqrt(pulls.length));
  expect(Math.abs(sd / spread - 1), `spread of pulls of ${what}: ${sd.toFixed(3)}`).toBeLessThan(4 / Math.sqrt(2 * pulls.length));
}
