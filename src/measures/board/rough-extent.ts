import type { Workpiece } from '../family.ts';
import type { BoardPoints } from './board-points.ts';
import { type RoughSurface, roughHeight } from './rough-surface.ts';

/** Where the playing surface stops towards nut and bridge, to about a millimetre × size; what stands there is told by `beyondNut`. */
export interface RoughExtent {
  readonly nutX: number;
  readonly endX: number;
  /** What follows on the playing surface towards the scroll: the nut standing up, a drop, or nothing in the scan. */
  readonly beyondNut: 'rises' | 'drops' | 'nothing';
}

/** Half-width of the strip looked at, mm × size: within the board at its nut; and the width of its cells. */
const STRIP = 9;
const CELL = 2;
/** Length of a bin, mm × size. */
const BIN = 0.5;
/** Heights over the surface that are looked at, mm × size: more than a nut's step. */
const WINDOW = 4;
/** A point lies on the board within this height, mm × size, or within that many sigma. */
const BAND = 0.16;
const NOISE_BAND = 2;
/** A bin lies on the board when this share of its seen cells does: strings and webs stand over some cells, a nut over all. */
const LEAST_SHARE = 0.5;
/**
 * A run of bins on the board as long as this is board, mm × size: longer once something stood off it for `OFF` bins, since a nut's top falls
 * through the board's height at its far side.
 */
const RUN = 2;
const RUN_AFTER_OFF = 3.6;
const OFF = 2;
/** A gap as long as this ends the board, in body lengths: dark ebony leaves holes, but not of 40 mm over the whole width. */
const GAP = 0.11;
/** Stretch beyond the last bin that tells what follows, mm × size. */
const BEYOND = 3;
const BEYOND_SPACINGS = 2.5;
const WHOLE_WIDTH = 0.65;

interface Bin {
  readonly seen: Set<number>;
  readonly on: Set<number>;
  readonly above: Set<number>;
  readonly below: Set<number>;
}

export function findRoughExtent(points: BoardPoints, work: Workpiece, surface: RoughSurface): RoughExtent {
  const length = Math.max(BIN * work.size, 1.2 * work.spacing);
  const bins = fillBins(points, work, surface, length);
  const nut = walk(bins, length, work, -1);
  const end = walk(bins, length, work, 1);
  return { nutX: nut * length, endX: (end + 1) * length, beyondNut: whatFollows(bins, nut, length, work) };
}

const cellWidth = (work: Workpiece): number => Math.max(CELL * work.size, 1.2 * work.spacing);

function fillBins(points: BoardPoints, work: Workpiece, surface: RoughSurface, length: number): Map<number, Bin> {
  const band = Math.max(BAND * work.size, NOISE_BAND * work.sigma);
  const cell = cellWidth(work);
  const bins = new Map<number, Bin>();
  for (let i = 0; i < points.count; i++) {
    if (Math.abs(points.y[i]) > STRIP * work.size) continue;
    const h = points.z[i] - roughHeight(surface, points.x[i], points.y[i]);
    if (Math.abs(h) > WINDOW * work.size) continue;
    const b = Math.floor(points.x[i] / length);
    let bin = bins.get(b);
    if (bin === undefined) {
      bin = { seen: new Set(), on: new Set(), above: new Set(), below: new Set() };
      bins.set(b, bin);
    }
    const c = Math.floor(points.y[i] / cell);
    bin.seen.add(c);
    if (Math.abs(h) < band) bin.on.add(c);
    else if (h > 0) bin.above.add(c);
    else bin.below.add(c);
  }
  return bins;
}

/** The last bin of the last run of bins that lie on the board, away from the joint. */
function walk(bins: Map<number, Bin>, length: number, work: Workpiece, direction: 1 | -1): number {
  const limit = Math.round((0.55 * work.bodyLength) / length);
  let last = 0;
  let run = 0;
  let off = 0;
  for (let k = 0; k < limit && (k - Math.abs(last)) * length < GAP * work.bodyLength; k++) {
    const bin = bins.get(direction * k);
    if (bin === undefined) continue;
    const on = bin.on.size >= LEAST_SHARE * bin.seen.size;
    run = on ? run + 1 : 0;
    off = on ? off : off + 1;
    if (run * length < (off >= OFF ? RUN_AFTER_OFF : RUN) * work.size) continue;
    last = direction * k;
    off = 0;
  }
  return last;
}

/** Over the whole width the scan goes on, higher or lower, or it does not: strings alone stand over less than half of it. */
function whatFollows(bins: Map<number, Bin>, nut: number, length: number, work: Workpiece): RoughExtent['beyondNut'] {
  const above = new Set<number>();
  const below = new Set<number>();
  const count = Math.max(3, Math.round(Math.max(BEYOND * work.size, BEYOND_SPACINGS * work.spacing) / length));
  for (let k = 1; k <= count; k++) {
    const bin = bins.get(nut - k);
    for (const c of bin?.above ?? []) above.add(c);
    for (const c of bin?.below ?? []) below.add(c);
  }
  const cells = Math.floor((2 * STRIP * work.size) / cellWidth(work));
  if (new Set([...above, ...below]).size < WHOLE_WIDTH * cells) return 'nothing';
  return above.size >= below.size ? 'rises' : 'drops';
}
