import { median } from '../../numerics/statistics.ts';
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

/** Half-width of the strip looked at, mm × size: within the board at its nut. */
const STRIP = 9;
/** Length of a bin, mm × size. */
const BIN = 0.5;
/** Heights over the surface that are looked at, mm × size: more than a nut's step, less than a string's height at the end. */
const WINDOW = 4;
/** A bin lies on the board when the median of its heights is within this, mm × size, or within that many sigma. */
const BAND = 0.22;
const NOISE_BAND = 1.5;
/** A stretch off the board as long as this ends it, mm × size (a nut is 4 to 7 mm long). */
const OFF_RUN = 2;
/** A gap as long as this ends the board, in body lengths: dark ebony leaves holes, but not of 40 mm over the whole width. */
const GAP = 0.11;
/** Points in a bin that make a median. */
const LEAST_POINTS = 3;

export function findRoughExtent(points: BoardPoints, work: Workpiece, surface: RoughSurface): RoughExtent {
  const bin = Math.max(BIN * work.size, 1.2 * work.spacing);
  const heights = binHeights(points, work, surface, bin);
  const band = Math.max(BAND * work.size, NOISE_BAND * work.sigma);
  const nut = walk(heights, bin, work, band, -1);
  const end = walk(heights, bin, work, band, 1);
  return { nutX: nut.last * bin, endX: (end.last + 1) * bin, beyondNut: nut.beyond };
}

/** Heights over the surface of the points with any normal, by bin along x. */
function binHeights(points: BoardPoints, work: Workpiece, surface: RoughSurface, bin: number): Map<number, number[]> {
  const bins = new Map<number, number[]>();
  for (let i = 0; i < points.count; i++) {
    if (Math.abs(points.y[i]) > STRIP * work.size) continue;
    const h = points.z[i] - roughHeight(surface, points.x[i], points.y[i]);
    if (Math.abs(h) > WINDOW * work.size) continue;
    const b = Math.floor(points.x[i] / bin);
    const list = bins.get(b);
    if (list === undefined) bins.set(b, [h]);
    else list.push(h);
  }
  return bins;
}

function walk(heights: Map<number, number[]>, bin: number, work: Workpiece, band: number, direction: 1 | -1): { last: number; beyond: RoughExtent['beyondNut'] } {
  const limit = Math.round((0.55 * work.bodyLength) / bin);
  const offRun = Math.max(2, Math.round((OFF_RUN * work.size) / bin));
  let last = 0;
  let off: number[] = [];
  for (let k = 0; k < limit; k++) {
    const b = direction * k;
    const list = heights.get(b);
    if (list !== undefined && list.length >= LEAST_POINTS) {
      const h = median(list);
      if (Math.abs(h) < band) {
        last = b;
        off = [];
        continue;
      }
      off.push(h);
    }
    if (off.length >= offRun || (Math.abs(b - last) + 1) * bin > GAP * work.bodyLength) break;
  }
  if (off.length === 0) return { last, beyond: 'nothing' };
  return { last, beyond: median(off) > 0 ? 'rises' : 'drops' };
}
