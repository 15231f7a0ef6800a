import { NormalEquations } from '../numerics/normal-equations.ts';

/** A smooth profile v(u) around its extremum: v = peak + c2 d² + c3 d³ with d = u − at. */
export interface ExtremumProfile {
  readonly at: number;
  readonly peak: number;
  readonly c2: number;
  readonly c3: number;
  /** Robust residual of the points about the profile, standard. */
  readonly scatter: number;
  readonly count: number;
}

const ROUNDS = 4;
/** Points farther than this many robust standard deviations from the profile are other things. */
const TRIM = 3.5;
/** Fewest points for four coefficients and a scatter. */
const FEWEST = 14;

/**
 * The extremum of a profile that many noisy points share, by a cubic through those near it: the highest of noisy points would be too high, the extremum of
 * their fit is not.
 *
 * @param u, v  coordinates along and across the profile
 * @param kind  whether v has a greatest or a least value there
 * @param guess  where it is, to about `half`
 * @param half  half-width of the window, unit of u
 * @returns undefined when the points show no such extremum within the window
 */
export function extremumProfile(
  u: ArrayLike<number>,
  v: ArrayLike<number>,
  kind: 'greatest' | 'least',
  guess: number,
  half: number,
): ExtremumProfile | undefined {
  let at = guess;
  let reject = Infinity;
  let result: ExtremumProfile | undefined;
  for (let round = 0; round < ROUNDS; round++) {
    const fit = cubic(u, v, at, half, reject, result);
    if (fit === undefined) return undefined;
    const d = extremumOf(fit.c, kind);
    if (d === undefined || Math.abs(d) > half) return undefined;
    const [c0, c1, c2, c3] = fit.c;
    result = { at: at + d, peak: c0 + d * (c1 + d * (c2 + d * c3)), c2: c2 + 3 * c3 * d, c3, scatter: fit.scatter, count: fit.count };
    at += d;
    reject = TRIM * fit.scatter;
  }
  return result;
}

/** Height of the profile at u, relative to its peak. */
export const offPeak = (p: ExtremumProfile, u: number): number => {
  const d = u - p.at;
  return d * d * (p.c2 + d * p.c3);
};

function cubic(u: ArrayLike<number>, v: ArrayLike<number>, at: number, half: number, reject: number, last: ExtremumProfile | undefined) {
  const equations = new NormalEquations(4);
  const row = new Float64Array(4);
  const used = new Int32Array(u.length);
  let count = 0;
  for (let i = 0; i < u.length; i++) {
    const d = u[i] - at;
    if (Math.abs(d) > half) continue;
    if (last !== undefined && Math.abs(v[i] - last.peak - offPeak(last, u[i])) > reject) continue;
    row[0] = 1;
    row[1] = d;
    row[2] = d * d;
    row[3] = d * d * d;
    equations.add(row, v[i], 1);
    used[count++] = i;
  }
  if (count < FEWEST) return undefined;
  let c: Float64Array;
  try {
    c = equations.solve().coefficients;
  } catch (error) {
    // All points at two or three places across: no profile can be told.
    if (error instanceof RangeError) return undefined;
    throw error;
  }
  const residuals = new Float64Array(count);
  for (let k = 0; k < count; k++) {
    const d = u[used[k]] - at;
    residuals[k] = Math.abs(v[used[k]] - (c[0] + d * (c[1] + d * (c[2] + d * c[3]))));
  }
  residuals.sort();
  return { c: [c[0], c[1], c[2], c[3]] as const, scatter: Math.max(1e-9, 1.4826 * residuals[count >> 1]), count };
}

/** Root of the cubic's slope at which it has the wanted extremum; the one nearest to the middle. */
function extremumOf([, c1, c2, c3]: readonly [number, number, number, number], kind: 'greatest' | 'least'): number | undefined {
  const sign = kind === 'greatest' ? -1 : 1;
  if (Math.abs(c3) < 1e-9) return sign * c2 > 0 ? -c1 / (2 * c2) : undefined;
  const disc = c2 * c2 - 3 * c3 * c1;
  if (disc < 0) return undefined;
  const root = Math.sqrt(disc);
  // At a root d the second derivative is 2 c2 + 6 c3 d = ± 2 root.
  return (-c2 + sign * root) / (3 * c3);
}
