import { fitPolynomial } from '../fits/polynomial.ts';

/** A place of an outline in its order along it: bin number, length along and distance out, mm. */
export interface OutlinePlace {
  readonly bin: number;
  readonly along: number;
  readonly out: number;
  /** Whether it is one of the corners, where outlines bend sharply. */
  readonly corner: boolean;
}

/** Missing bins from which on a gap may be a hole of the scan with ragged edges. */
const GAP = 2;
/** Bins beside a gap that its ragged edge may reach over, and those beyond them that tell how the outline runs. */
const RAGGED = 7;
const BASE = 11;
const LEAST_BASE = 7;
/** Step between neighbours, beyond what the outline rises by there, that is the edge of a hole too: inside it, ribs or the far plate may stand for the wall; mm × size. */
const STEP = 0.7;
/** A smooth outline leaves the parabola through its stretch of some 20 mm by less than this over the next 10, mm × size. */
const BENDS = 0.25;

/**
 * Places beside gaps at which the wall of the edge is partly lost: what is left of it lies inside the outline, more so towards the gap. Each is held against the parabola
 * through those farther from the gap.
 *
 * @param places  sorted by bin, seen ones only
 * @param scatter  of single places, mm
 * @returns the bins that lie inside it
 */
export function tornBins(places: readonly OutlinePlace[], size: number, scatter: number): ReadonlySet<number> {
  const torn = new Set<number>();
  const least = Math.max(BENDS * size, 6 * scatter);
  for (let k = 1; k < places.length; k++) {
    if (places[k].bin - places[k - 1].bin <= GAP && !(Math.abs(stepAt(places, k)) > STEP * size)) continue;
    for (const bin of insideBeside(places.slice(Math.max(0, k - RAGGED - BASE), k).reverse(), least)) torn.add(bin);
    for (const bin of insideBeside(places.slice(k, k + RAGGED + BASE), least)) torn.add(bin);
  }
  return torn;
}

/** Step from place k − 1 to k beyond the mean rise on both sides of it, mm; NaN at corners and ends. */
function stepAt(places: readonly OutlinePlace[], k: number): number {
  const [before, last, next, after] = [places[k - 3], places[k - 1], places[k], places[k + 2]];
  if (before === undefined || after === undefined || last.corner || next.corner) return NaN;
  const rise = ((last.out - before.out) / (last.along - before.along) + (after.out - next.out) / (after.along - next.along)) / 2;
  return next.out - last.out - rise * (next.along - last.along);
}

/** @param away  places from the gap outwards */
function insideBeside(away: readonly OutlinePlace[], least: number): number[] {
  const base = away.slice(RAGGED);
  if (base.length < LEAST_BASE) return [];
  const origin = base[0].along;
  const curve = fitPolynomial(
    base.map((p) => p.along - origin),
    base.map((p) => p.out),
    2,
  );
  return away
    .slice(0, RAGGED)
    .filter((p) => p.out - curve.value(p.along - origin) < -least)
    .map((p) => p.bin);
}
