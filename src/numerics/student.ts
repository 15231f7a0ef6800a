import { incompleteBeta, inverseIncompleteBeta } from './incomplete-beta.ts';
import { normalProbability, normalQuantile } from './normal.ts';

/** Probability that a Student variable with `dof` degrees of freedom (may be a fraction, or infinite) stays below t. */
export function studentProbability(t: number, dof: number): number {
  requireDof(dof);
  if (dof === Number.POSITIVE_INFINITY) return normalProbability(t);
  const square = t * t;
  // The smaller of both arguments keeps its digits: near the middle the probability beside it, in the tails that beyond.
  const half =
    square < dof ? (1 - incompleteBeta(0.5, dof / 2, square / (dof + square))) / 2 : incompleteBeta(dof / 2, 0.5, dof / (dof + square)) / 2;
  return t > 0 ? 1 - half : half;
}

/**
 * The t below which a Student variable stays with probability p: 2.5706 for p = 0.975 and 5 degrees of freedom.
 *
 * @throws {RangeError} p outside 0…1, degrees of freedom not above zero
 */
export function studentQuantile(p: number, dof: number): number {
  requireDof(dof);
  if (!(p >= 0 && p <= 1)) throw new RangeError(`a quantile is asked for a probability between 0 and 1, not ${p}`);
  if (dof === Number.POSITIVE_INFINITY) return normalQuantile(p);
  if (p === 0.5) return 0;
  if (p > 0.5) return -studentQuantile(1 - p, dof);
  // Near the middle dof / (dof + t²) is close to 1 and loses digits: there its complement t² / (dof + t²) is found instead.
  const central = 1 - 2 * p;
  if (central < 0.5) {
    const y = inverseIncompleteBeta(0.5, dof / 2, central);
    return -Math.sqrt((dof * y) / (1 - y));
  }
  const x = inverseIncompleteBeta(dof / 2, 0.5, 2 * p);
  return x === 0 ? Number.NEGATIVE_INFINITY : -Math.sqrt((dof * (1 - x)) / x);
}

/** Factor k for which mean ± k u covers the share `coverage` with `dof` degrees of freedom: 1.96 for 0.95 and infinitely many. */
export function coverageFactor(coverage: number, dof: number): number {
  return studentQuantile((1 + coverage) / 2, dof);
}

function requireDof(dof: number): void {
  if (!(dof > 0)) throw new RangeError(`Student's distribution needs degrees of freedom above zero, not ${dof}`);
}
