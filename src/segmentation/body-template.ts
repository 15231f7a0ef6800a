/**
 * Half-width of a violin-family body against t = distance from the joint ÷ body length, as a share of the body's length: an everyday outline, drawn from
 * the proportions of usual workshop tables (upper, waist and lower width about 0.47, 0.32 and 0.58 of the length, corners at 0.37 and 0.61; common practice,
 * no source). It only starts the search: the outline itself is measured later.
 */
const T = [
  0, 0.01, 0.03, 0.06, 0.1, 0.15, 0.2, 0.26, 0.31, 0.35, 0.37, 0.39, 0.43, 0.47, 0.52, 0.56, 0.59, 0.61, 0.63, 0.67, 0.72, 0.79, 0.86, 0.91,
  0.95, 0.975, 0.99, 1,
];
const H = [
  0.06, 0.09, 0.135, 0.178, 0.21, 0.23, 0.237, 0.232, 0.218, 0.215, 0.218, 0.19, 0.163, 0.158, 0.167, 0.19, 0.222, 0.232, 0.232, 0.258,
  0.282, 0.291, 0.276, 0.245, 0.195, 0.14, 0.085, 0.04,
];

/** The outline tabulated evenly: the search looks it up millions of times. */
const STEPS = 1000;
const TABLE = Float64Array.from({ length: STEPS + 1 }, (_, k) => interpolated(k / STEPS));

function interpolated(t: number): number {
  for (let i = 1; i < T.length; i++) {
    if (t <= T[i]) return H[i - 1] + ((t - T[i - 1]) / (T[i] - T[i - 1])) * (H[i] - H[i - 1]);
  }
  return H[H.length - 1];
}

/** Half-width ÷ body length at t, held at the ends beyond 0…1. */
export function templateHalfWidth(t: number): number {
  return TABLE[t > 0 ? (t < 1 ? Math.round(t * STEPS) : STEPS) : 0];
}

/** Where half-widths may lie beyond the body, as shares of its length: neck and board, pegbox with pegs and scroll, and what hangs at the tail. */
const NECK = { from: -0.34, least: 0.022, most: 0.075 };
const HEAD = { from: -0.78, least: 0, most: 0.16 };
const TAIL = { to: 1.06, least: 0, most: 0.06 };

/** Misfit of a seen half-width (share of body length) at t, 0…`WORST`. */
export function misfit(t: number, halfWidth: number): number {
  if (t >= 0 && t <= 1) return Math.min(WORST, Math.abs(halfWidth - templateHalfWidth(t)));
  const range = t > 1 ? (t < TAIL.to ? TAIL : undefined) : t > NECK.from ? NECK : t > HEAD.from ? HEAD : undefined;
  if (range === undefined) return WORST;
  return Math.min(WORST, Math.max(0, range.least - halfWidth, halfWidth - range.most));
}

/** One stretch costs no more than this: clutter must not outvote the rest. */
const WORST = 0.12;
/** What a stretch of the body costs that the scan does not reach, and one inside the scan where nothing is seen. */
export const UNSEEN_COST = 0.03;
export const EMPTY_COST = 0.06;
