import { type Judged, judgeScore } from '../judge-score.ts';
import type { Score } from '../study-result.ts';

/** A change is wrong when it is off by more than 5 u and by more than this: mm or degrees, radii in mm, as for single scans. */
const WRONG_BY = 0.06;
const WRONG_RADIUS = 2;

export const judgePair = (score: Score): Judged | undefined =>
  judgeScore(score, (id) => (id.startsWith('d boardRadius') ? WRONG_RADIUS : WRONG_BY));
