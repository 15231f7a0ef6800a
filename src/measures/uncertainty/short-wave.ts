import { CUBIC_TERMS } from './orthonormal-cubic.ts';
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

/** Upper ends of the classes of lag, shares of a patch's edge: about as many pairs near as far. Class 0 is lag 0. */
const LAGS = [0.02, 0.035, 0.05, 0.07, 0.1, 0.14, 0.2, 0.28, 0.4, 0.55];
/** Steps of the fine table of lags that classes and correlations are looked up in, a patch's edge. */
const FINE = 128;
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
  const edge = PATCH;
  const laid = patches.map((patch) => ({ patch, lags: lagsOf(patch, edge) }));
  const modelled = laid.filter((_, k) => k % Math.ceil(laid.length / MODELLED) === 0);
  const seen = correlogram(laid);
  const white = expected(modelled, edge, 0);
  const alone = fitted(seen, white, undefined);
  // Points too far apart for three lengths to be tried share nothing that a patch could show.
  const isCoarse = SHORTEST * STEP ** 2 * spacing >= LONGEST * edge;
  if (isCoarse || alone.misfit < CLEAR) return independent(Math.sqrt(alone.white));
  const at = (length: number): Fitted => ({ ...fitted(seen, white, expected(modelled, edge, length)), length });
  const steps: Fitted[] = [];
  for (let length = SHORTEST * spacing; length < LONGEST * edge; length *= STEP) steps.push(at(length));
  const best = least([...steps, at(lowestBetween(steps))]);
  const share = best.correlated / (best.white + best.correlated);
  const isShown = (half: number): boolean => {
    const part = correlogram(laid.filter((_, k) => k % 2 === half));
    const found = fitted(part, white, expected(modelled, edge, best.length));
    return fitted(part, white, undefined).misfit - found.misfit > CLEAR / 4;
  };
  return alone.misfit - best.misfit > CLEAR && share > LEAST_SHARE && isShown(0) && isShown(1)
    ? { white: Math.sqrt(best.white), amplitude: Math.sqrt(best.correlated), length: best.length }
    : independent(Math.sqrt(alone.white));
}

const correlogram = (laid: readonly LaidPatch[]): Correlogram =>
  pooled(
    laid,
    ({ residual: r }) =>
      (i, j) =>
        r[i] * r[j],
  );

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

/** A patch with the lag of each pair i > j, in steps of the fine table, row by row. */
interface LaidPatch {
  readonly patch: NoisePatch;
  readonly lags: Uint8Array;
}

function lagsOf({ count, u, v }: NoisePatch, edge: number): Uint8Array {
  const lags = new Uint8Array((count * (count - 1)) / 2);
  let at = 0;
  for (let i = 0; i < count; i++) {
    for (let j = 0; j < i; j++) {
      const [a, b] = [u[i] - u[j], v[i] - v[j]];
      lags[at++] = Math.min(2 * FINE - 1, (Math.sqrt(a * a + b * b) / edge) * FINE);
    }
  }
  return lags;
}

/** What white noise (length 0) or correlated noise of unit variance is expected to give after the same fits: elements of (I − H) R (I − H). */
function expected(laid: readonly LaidPatch[], edge: number, length: number): Float64Array {
  const table = Float64Array.from({ length: 2 * FINE }, (_, k) => (length > 0 ? gaussian((((k + 0.5) / FINE) * edge) / length) : 0));
  return pooled(laid, (patch, lags) => leftOf(patch, lags, table)).mean;
}

const gaussian = (d: number): number => Math.exp(-d * d);

/** Element (i, j) of R − HR − RH + HRH, with H from the patch's orthonormal columns. */
function leftOf({ count, basis }: NoisePatch, lags: Uint8Array, table: Float64Array): (i: number, j: number) => number {
  const k = CUBIC_TERMS;
  const r = new Float64Array(count * count);
  for (let i = 0, at = 0; i < count; i++) {
    r[i * count + i] = 1;
    for (let j = 0; j < i; j++) r[i * count + j] = r[j * count + i] = table[lags[at++]];
  }
  // G = R Q less half of Q (Q' R Q): (I − H) R (I − H) = R − G Q' − Q G'.
  const g = new Float64Array(count * k);
  for (let i = 0; i < count; i++) {
    for (let j = 0; j < count; j++) {
      const c = r[i * count + j];
      if (c !== 0) for (let t = 0; t < k; t++) g[i * k + t] += c * basis[j * k + t];
    }
  }
  const q = new Float64Array(k * k);
  for (let i = 0; i < count; i++) for (let s = 0; s < k; s++) for (let t = 0; t < k; t++) q[s * k + t] += basis[i * k + s] * g[i * k + t];
  for (let i = 0; i < count; i++)
    for (let t = 0; t < k; t++) for (let s = 0; s < k; s++) g[i * k + t] -= 0.5 * basis[i * k + s] * q[s * k + t];
  return (i, j) => {
    let left = r[i * count + j];
    for (let t = 0; t < k; t++) left -= g[i * k + t] * basis[j * k + t] + basis[i * k + t] * g[j * k + t];
    return left;
  };
}

/** Mean product of pairs in each class of lag, class 0 the mean square; and how many pairs. */
interface Correlogram {
  readonly mean: Float64Array;
  readonly pairs: Float64Array;
}

/** Class of each step of the fine table; beyond the last class none (0). */
const CLASS_OF = Uint8Array.from({ length: 2 * FINE }, (_, k) => 1 + LAGS.findIndex((end) => (k + 0.5) / FINE < end));

function pooled(
  laid: readonly LaidPatch[],
  product: (patch: NoisePatch, lags: Uint8Array) => (i: number, j: number) => number,
): Correlogram {
  const sums = new Float64Array(LAGS.length + 1);
  const pairs = new Float64Array(LAGS.length + 1);
  for (const { patch, lags } of laid) {
    const of = product(patch, lags);
    for (let i = 0, at = 0; i < patch.count; i++) {
      sums[0] += of(i, i);
      pairs[0]++;
      for (let j = 0; j < i; j++) {
        const c = CLASS_OF[lags[at++]];
        if (c === 0) continue;
        sums[c] += of(i, j);
        pairs[c]++;
      }
    }
  }
  return { mean: sums.map((s, c) => (pairs[c] > 0 ? s / pairs[c] : 0)), pairs };
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
