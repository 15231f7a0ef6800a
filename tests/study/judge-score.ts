import type { Score } from './study-result.ts';

/** A given value held against its truth. */
export interface Judged {
  readonly error: number;
  readonly u: number;
  readonly U95: number;
  /** Error over its uncertainty, the truth's own included. */
  readonly pull: number;
  readonly inside: boolean;
  readonly wrong: boolean;
  readonly silent: boolean;
}

/** Half-width of a normal distribution's 95 % interval, in standard deviations. */
const K95 = 1.96;
/** A value is wrong when it is off by more than this many u … */
const WRONG_U = 5;
/** … and by more than this: mm or degrees, radii in mm, the ratio. */
const WRONG_BY = 0.15;
const WRONG_RADIUS = 2;
const WRONG_RATIO = 0.005;

/**
 * Undefined when the record gives no value.
 *
 * @param wrongBy  size from which on a value may be wrong, by measurand
 */
export function judgeScore(score: Score, wrongBy = wrongByOne): Judged | undefined {
  const { given, truth, uTruth } = score;
  if (given === undefined) return undefined;
  const error = given.value - truth;
  const u = Math.hypot(given.u, uTruth);
  // The interval is widened by the truth's own uncertainty before it is asked whether it holds the truth.
  const above = Math.hypot((given.high ?? given.value + given.U95) - given.value, K95 * uTruth);
  const below = Math.hypot(given.value - (given.low ?? given.value - given.U95), K95 * uTruth);
  const wrong = Math.abs(error) > Math.max(WRONG_U * u, wrongBy(score.id));
  return {
    error,
    u: given.u,
    U95: given.U95,
    pull: error / u,
    inside: error <= below && error >= -above,
    wrong,
    silent: wrong && given.quality !== 'poor',
  };
}

/** Of the values of one scan. */
const wrongByOne = (id: string): number => (id.startsWith('boardRadius') ? WRONG_RADIUS : id === 'stopRatio' ? WRONG_RATIO : WRONG_BY);
