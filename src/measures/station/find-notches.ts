import type { Workpiece } from '../family.ts';
import { findStem, type Stem } from './find-stem.ts';
import { type NotchLikelihood, notchLikelihood, type Places } from './notch-likelihood.ts';

/** The tip of an f-hole's inner notch. Working frame, mm. */
export interface Notch {
  readonly x: number;
  readonly y: number;
  readonly z: number;
  /** Standard uncertainties along and across the body: sampling, and how well the tip is defined. */
  readonly uX: number;
  readonly uY: number;
}

export interface Notches {
  /** A reason where a side's notch is not found. */
  readonly bass: Notch | string;
  readonly treble: Notch | string;
}

/** Shares of the body's length between which notches are looked for: stops of 0.52 to 0.58 are usual (common practice, no source). Nearer the joint the stem bends into its upper hole. */
const FROM = 0.502;
const TO = 0.61;
/** Where notches stand, as a share of the body's length: mean and spread over violins, violas and cellos of every period. */
const USUAL = 0.547;
const USUAL_SPREAD = 0.022;
/** mm × size. Step of the places that are weighed. */
const STEP = 0.1;
/** mm × size. Spreads of the difference between both sides, and between a stem's inner and outer notch, on real instruments. */
const BETWEEN_SIDES = 1.2;
const BETWEEN_EDGES = 1;
/** Share of the differences that follow no rule: coupled places are never ruled out by more than this. */
const UNRULY = 0.01;
/** mm × size. How well the tip is defined where both flanks are seen: corners are rounded by the knife and by the scan. */
const DEFINITION = 0.12;
/** Share of the posterior that must lie within `MODE` (mm × size) of its best place: the rest could be anywhere along the stem. */
const LEAST_SHARE = 0.9;
const MODE = 1.5;

/** The opening is seen, its notch is not. */
export const NOT_TOLD = 'the notch is not told from the edge of the f-hole at this resolution';

interface Side {
  readonly stem: Stem;
  readonly inner: NotchLikelihood;
  /** Probability of each place for the outer notch, spread to the inner's place; ones where it tells nothing. */
  readonly fromOuter: Float64Array;
}

/** Finds the inner notches of both f-holes; both sides and the outer notches help where a scan is coarse. */
export function findNotches(work: Workpiece): Notches {
  const places = allPlaces(work);
  const sides = ([-1, 1] as const).map((side) => weighSide(work, side, places));
  const found = sides.map((side, k) => {
    if (typeof side === 'string') return side;
    const other = sides[1 - k];
    const weights = posterior(side, places, work);
    return locate(
      side,
      typeof other === 'string' ? weights : product(weights, spread(posterior(other, places, work), BETWEEN_SIDES * work.size, places)),
      places,
      work,
    );
  });
  return { bass: found[0], treble: found[1] };
}

function allPlaces(work: Workpiece): Places {
  const step = STEP * work.size;
  const from = FROM * work.bodyLength;
  return { from, step, count: Math.floor(((TO - FROM) * work.bodyLength) / step) + 1 };
}

function weighSide(work: Workpiece, side: -1 | 1, places: Places): Side | string {
  const stem = findStem(work, side);
  if (typeof stem === 'string') return stem;
  const inner = notchLikelihood(stem.inner, places, work);
  if (inner === undefined) return 'the edge of the f-hole is not seen well enough for its notch';
  return { stem, inner, fromOuter: fromOuter(stem, work, places) };
}

/** The outer notch stands across the stem from the inner one: its place tells where the inner is to within `BETWEEN_EDGES`. */
function fromOuter(stem: Stem, work: Workpiece, places: Places): Float64Array {
  const outer = notchLikelihood(stem.outer, places, work);
  if (outer === undefined) return new Float64Array(places.count).fill(1);
  const probability = normalised(outer.log);
  // Square across the stem, from the outer tip to the inner, one moves towards the tail by the stem's slope times its width and both notches.
  const middle = places.from + (places.step * places.count) / 2;
  const shift = Math.round((stem.inner.slope(middle) * (stem.width + 2.5 * work.size)) / places.step);
  const shifted = Float64Array.from(probability, (_, k) => probability[k - shift] ?? 0);
  return spread(shifted, BETWEEN_EDGES * work.size, places);
}

/** Probability of each place from this side alone. */
function posterior(side: Side, places: Places, work: Workpiece): Float64Array {
  const log = Float64Array.from(side.inner.log, (l, k) => {
    const share = (places.from + k * places.step) / work.bodyLength;
    return l - 0.5 * ((share - USUAL) / USUAL_SPREAD) ** 2;
  });
  return product(normalised(log), side.fromOuter);
}

function normalised(log: Float64Array): Float64Array {
  const most = log.reduce((a, b) => Math.max(a, b), -Infinity);
  if (most === -Infinity) return new Float64Array(log.length);
  const p = Float64Array.from(log, (l) => Math.exp(l - most));
  const total = p.reduce((a, b) => a + b, 0);
  return p.map((v) => v / total);
}

function product(a: Float64Array, b: Float64Array): Float64Array {
  const p = a.map((v, k) => v * b[k]);
  const total = p.reduce((x, y) => x + y, 0);
  return total > 0 ? p.map((v) => v / total) : p;
}

/** `probability` widened by a normal of standard deviation `sd`, above a floor that keeps every place possible. */
function spread(probability: Float64Array, sd: number, places: Places): Float64Array {
  const reach = Math.ceil((4 * sd) / places.step);
  const kernel = Float64Array.from({ length: 2 * reach + 1 }, (_, k) => Math.exp(-0.5 * (((k - reach) * places.step) / sd) ** 2));
  const total = kernel.reduce((a, b) => a + b, 0);
  const n = probability.length;
  const out = new Float64Array(n).fill(UNRULY / n);
  for (let k = 0; k < n; k++) {
    if (probability[k] === 0) continue;
    for (let j = -reach; j <= reach; j++) if (k + j >= 0 && k + j < n) out[k + j] += (probability[k] * kernel[j + reach]) / total;
  }
  return out;
}

function locate(side: Side, weights: Float64Array, places: Places, work: Workpiece): Notch | string {
  const best = weights.reduce((a, w, k) => (w > weights[a] ? k : a), 0);
  const reach = Math.round((MODE * work.size) / places.step);
  const sums = [0, 0, 0, 0, 0];
  for (let k = Math.max(0, best - reach); k <= Math.min(places.count - 1, best + reach); k++) {
    const x = places.from + k * places.step;
    const w = weights[k];
    sums[0] += w;
    sums[1] += w * x;
    sums[2] += w * (x - places.from - best * places.step) ** 2;
    sums[3] += w * side.inner.across[k];
    sums[4] += w * side.inner.acrossSquare[k];
  }
  if (!(sums[0] >= LEAST_SHARE)) return NOT_TOLD;
  const x = sums[1] / sums[0];
  const across = sums[3] / sums[0];
  const variance = sums[2] / sums[0] - (x - places.from - best * places.step) ** 2;
  const floor = (DEFINITION * work.size) ** 2;
  const y = side.stem.side * across;
  return {
    x,
    y,
    z: side.stem.top(x, y),
    uX: Math.sqrt(variance + floor),
    uY: Math.sqrt(Math.max(0, sums[4] / sums[0] - across * across) + floor),
  };
}
