import { type Correlogram, correlogram, expectedMeans, laidOut } from './correlogram.ts';
import { type NoisePatch, PATCH } from './noise-patches.ts';

/**
 * Noise of a scan's points along the normal: a white part, and one that neighbours share, with covariance amplitude² exp(−d²/length²). Amplitude 0: neighbours are independent as far as the
 * scan shows.
 */
export interface ShortWave {
  /** Independent from point to point, mm. */
  readonly white: number;
  /** mm. */
  readonly amplitude: number;
  /** mm. */
  readonly length: number;
}

const independent = (white: number): ShortWave => ({ white, amplitude: 0, length: 0 });

/** Shortest correlation length tried, in spacings: below it even neighbours are independent. Longest, share of a patch's edge: beyond it the patch's own surface takes it up. Ratio of steps. */
const SHORTEST = 0.7;
const LONGEST = 0.3;
const STEP = 1.4;
/** Patches by which it is known what the fit leaves of a correlation: they are laid out alike. */
const MODELLED = 6;
const FEWEST_PATCHES = 8;
/**
 * Fall of χ² by which the correlation must beat white noise: with two more parameters chance reaches it in fewer than one scan in a hundred thousand. Either half of the patches must show a quarter of it: a few of them
 * may hold something that is no noise.
 */
const CLEAR = 25;
/** Share of the variance below which a correlation is one of shape that the cubics leave, not of noise. */
const LEAST_SHARE = 0.03;

/**
 * Correlation of a scan's noise from the residuals of smooth patches: their correlogram against the distance along the surface, held against what the same local fits leave of white noise and of
 * correlated noise (least squares of both variances for each length; detrending makes neighbours of white noise look anti-correlated, and that is allowed for exactly).
 *
 * @param spacing  of the points, mm
 * @returns undefined where too little of a smooth body is seen to tell
 */
export function shortWave(patches: readonly NoisePatch[], spacing: number): ShortWave | undefined {
  if (patches.length < FEWEST_PATCHES) return undefined;
  const laid = patches.map(laidOut);
  const modelled = laid.filter((_, k) => k % Math.ceil(laid.length / MODELLED) === 0);
  const seen = correlogram(laid);
  const white = expectedMeans(modelled, 0);
  const alone = fitted(seen, white, undefined);
  // Points too far apart for three lengths to be tried share nothing that a patch could show.
  const isCoarse = SHORTEST * STEP ** 2 * spacing >= LONGEST * PATCH;
  if (isCoarse || alone.misfit < CLEAR) return independent(Math.sqrt(alone.white));
  const at = (length: number): Fitted => ({ ...fitted(seen, white, expectedMeans(modelled, length)), length });
  const steps: Fitted[] = [];
  for (let length = SHORTEST * spacing; length < LONGEST * PATCH; length *= STEP) steps.push(at(length));
  const best = least([...steps, at(lowestBetween(steps))]);
  const share = best.correlated / (best.white + best.correlated);
  const shape = expectedMeans(modelled, best.length);
  const isShown = (half: number): boolean => {
    const part = correlogram(laid.filter((_, k) => k % 2 === half));
    const found = fitted(part, white, shape);
    return fitted(part, white, undefined).misfit - found.misfit > CLEAR / 4;
  };
  return alone.misfit - best.misfit > CLEAR && share > LEAST_SHARE && isShown(0) && isShown(1)
    ? { white: Math.sqrt(best.white), amplitude: Math.sqrt(best.correlated), length: best.length }
    : independent(Math.sqrt(alone.white));
}

interface Fitted {
  readonly white: number;
  readonly correlated: number;
  readonly misfit: number;
  readonly length: number;
}

const least = (fits: readonly Fitted[]): Fitted => fits.reduce((a, b) => (b.misfit < a.misfit ? b : a));

/** Length at which the parabola through the best step and its neighbours, over the logarithm of the length, is lowest. */
function lowestBetween(steps: readonly Fitted[]): number {
  const k = Math.min(Math.max(steps.indexOf(least(steps)), 1), steps.length - 2);
  const [a, b, c] = [steps[k - 1], steps[k], steps[k + 1]].map((s) => s.misfit);
  const bend = a - 2 * b + c;
  const shift = bend > 0 ? Math.max(-1, Math.min(1, (0.5 * (a - c)) / bend)) : 0;
  return steps[k].length * STEP ** shift;
}

/** Variances, neither negative, that explain a correlogram best; misfit is χ² with the scatter that white noise of the same size gives the means. */
function fitted(seen: Correlogram, white: Float64Array, correlated: Float64Array | undefined): Omit<Fitted, 'length'> {
  const scale = seen.mean[0] * seen.mean[0];
  const weight = (c: number): number => seen.pairs[c] / (c === 0 ? 2 : 1) / scale;
  let [aa, ab, bb, ay, by] = [0, 0, 0, 0, 0];
  for (let c = 0; c < white.length; c++) {
    const [a, b, y, w] = [white[c], correlated?.[c] ?? 0, seen.mean[c], weight(c)];
    aa += w * a * a;
    ab += w * a * b;
    bb += w * b * b;
    ay += w * a * y;
    by += w * b * y;
  }
  const det = aa * bb - ab * ab;
  let solution = { white: ay / aa, correlated: 0 };
  if (correlated !== undefined && det > 0) {
    const both = { white: (ay * bb - by * ab) / det, correlated: (by * aa - ay * ab) / det };
    if (both.correlated > 0) solution = both.white >= 0 ? both : { white: 0, correlated: by / bb };
  }
  let misfit = 0;
  for (let c = 0; c < white.length; c++)
    misfit += weight(c) * (seen.mean[c] - solution.white * white[c] - solution.correlated * (correlated?.[c] ?? 0)) ** 2;
  return { ...solution, misfit };
}
