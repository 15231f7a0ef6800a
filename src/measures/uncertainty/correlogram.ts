import { type NoisePatch, PATCH } from './noise-patches.ts';
import { CUBIC_TERMS } from './orthonormal-cubic.ts';

/** Mean product of pairs in each class of lag, class 0 the mean square; and how many pairs. */
export interface Correlogram {
  readonly mean: Float64Array;
  readonly pairs: Float64Array;
}

/** Upper ends of the classes of lag, shares of a patch's edge: about as many pairs near as far. Class 0 is lag 0. */
const LAGS = [0.02, 0.035, 0.05, 0.07, 0.1, 0.14, 0.2, 0.28, 0.4, 0.55];
/** Steps of the fine table of lags that classes and correlations are looked up in, a patch's edge. */
const FINE = 128;

/** A patch with the lag of each pair i > j, in steps of the fine table, row by row. */
export interface LaidPatch {
  readonly patch: NoisePatch;
  readonly lags: Uint8Array;
}

export function laidOut(patch: NoisePatch): LaidPatch {
  const { count, u, v } = patch;
  const lags = new Uint8Array((count * (count - 1)) / 2);
  let at = 0;
  for (let i = 0; i < count; i++) {
    for (let j = 0; j < i; j++) {
      const a = u[i] - u[j];
      const b = v[i] - v[j];
      lags[at++] = Math.min(2 * FINE - 1, (Math.sqrt(a * a + b * b) / PATCH) * FINE);
    }
  }
  return { patch, lags };
}

/** Correlogram of the residuals. */
export const correlogram = (laid: readonly LaidPatch[]): Correlogram =>
  pooled(
    laid,
    ({ residual: r }) =>
      (i, j) =>
        r[i] * r[j],
  );

/** What white noise (length 0) or correlated noise of unit variance of this length, mm, is expected to give in each class after the same fits: elements of (I − H) R (I − H). */
export function expectedMeans(laid: readonly LaidPatch[], length: number): Float64Array {
  const table = Float64Array.from({ length: 2 * FINE }, (_, k) => (length > 0 ? gaussian((((k + 0.5) / FINE) * PATCH) / length) : 0));
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
