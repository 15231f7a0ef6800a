import type { Samples } from '../geometry/samples.ts';
import { outlineSamples } from './outline-samples.ts';
import type { RimStation } from './rim-stations.ts';
import { trimmedCurve } from './trimmed-curve.ts';

/** The outline is continued across the saddle from this stretch of the tail end, as shares of body length in |y|. */
export const TAIL = { from: 0.066, to: 0.19 };
/** Deviation from the curve that always counts as outline, mm × size: arcs that follow each other leave the curve by up to 0.1 mm, posts stand out by millimetres. */
const ON_CURVE = 0.25;
/** Stations beside one that is no outline go with it: they share its points (± 3 bins), and the way up a post is smooth. */
const BESIDE_STRAY = 3;

/** Row of the outline across the tail end: one smooth curve on both sides of the saddle, which need not mirror each other. */
export const tailRow = (y: number): [number, number, number, number, number] => [1, y, y * y, y * y * y, y * y * y * y];

/** Room for the arcs of each side: strays are told from a curve that follows the whole stretch, however little its sides mirror each other. */
const strayRow = (y: number): number[] => [...tailRow(y), y ** 5, y ** 6];

/** Outline on both sides of the saddle, for the tail end, without the posts and clamps of a chin rest and what else stands there. */
export function outlineBesideSaddle(stations: readonly RimStation[], bodyLength: number): Samples {
  const share = (s: RimStation): number => Math.abs(s.y) / bodyLength;
  const near = stations
    .filter((s) => !Number.isNaN(s.x) && s.x > 0.85 * bodyLength && share(s) >= TAIL.from && share(s) <= TAIL.to)
    .sort((a, b) => a.y - b.y);
  const half = TAIL.to * bodyLength;
  const ids = near.map((_, i) => i);
  const middle = (TAIL.from + TAIL.to) / 2;
  const inner = (i: number): boolean => share(near[i]) < middle;
  const starts = [
    ids,
    ids.filter(inner),
    ids.filter((i) => !inner(i)),
    ids.filter((i) => near[i].side < 0),
    ids.filter((i) => near[i].side > 0),
    ids.filter((i) => near[i].side < 0 || inner(i)),
    ids.filter((i) => near[i].side > 0 || inner(i)),
  ];
  const on = trimmedCurve(
    near.map((s) => strayRow(s.y / half)),
    near.map((s) => s.x),
    starts,
    (ON_CURVE * bodyLength) / 355,
  );
  if (on === undefined) return outlineSamples(near);
  return outlineSamples(near.filter((s, i) => !near.some((o, k) => !on[k] && o.side === s.side && Math.abs(k - i) <= BESIDE_STRAY)));
}
