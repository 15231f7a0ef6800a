import { median, quantile } from '../../numerics/statistics.ts';
import { FACET_ERROR, type Workpiece } from '../family.ts';
import type { BoardPoints } from './board-points.ts';
import { type RoughSurface, roughHeight } from './rough-surface.ts';

/** Where the playing surface stops towards nut and bridge, to about a millimetre × size; what stands there is told by `beyondNut`. */
export interface RoughExtent {
  readonly nutX: number;
  readonly endX: number;
  /** What follows on the playing surface towards the scroll: the nut standing up, a drop, or nothing in the scan. */
  readonly beyondNut: 'rises' | 'drops' | 'nothing';
  /** How far the board strays from the rough surface at x, mm; 0 where it is within the band that counts as on it. */
  readonly drift: (x: number) => number;
}

/** Half-width of the strip looked at, mm × size: within the board at its nut; and the width of its cells. */
const STRIP = 9;
const CELL = 2;
/** Length of a bin, mm × size. */
const BIN = 0.5;
/** Heights over the surface that are looked at, mm × size: more than a nut's step. */
const WINDOW = 4;
/** A point lies on the board within this height, mm × size, or within that many standard deviations of noise or facets. */
const BAND = 0.16;
const NOISE_BAND = 2;
/** A bin lies on the board when this share of its seen cells does: strings and webs stand over some cells, a nut over all. */
const LEAST_SHARE = 0.5;
/**
 * So does this share of its surface: of a nut that is shorter than a bin only the steep back passes the board's height. Strings and webs cover less; where they cover more, half
 * of it must do, points that face up be seen in most cells, and that over a stretch longer than a nut, mm × size.
 */
const LEAST_AREA = 0.3;
const UNDER_WEBS = { area: 0.15, cells: 0.6, up: 0.75, run: 12 } as const;
/**
 * A run of bins on the board as long as this is board, mm × size: longer once something stood off it for `OFF`, since a nut's top falls
 * through the board's height at its far side.
 */
const RUN = 2;
const RUN_AFTER_OFF = 3.6;
/** That fall may lie in two bins, however long. */
const BINS_AFTER_OFF = 3;
const OFF = 1;
/**
 * The rough surface may stray from the board, most where a neck warped and took the board along: the band follows what lies on it, in height and slope, by these shares a
 * `BIN` of length and this far at most, mm × size; and it begins where most of the board lies by the joint, within `START` of it, mm × size.
 */
const FOLLOWS = 0.25;
const FOLLOWS_SLOPE = 0.02;
const STEEPEST_DRIFT = 0.1;
const LARGEST_DRIFT = 3.2;
const LARGEST_START = 1.6;
const START = 10;
/** A gap as long as this ends the board, in body lengths: dark ebony leaves holes, but not of 40 mm over the whole width. */
const GAP = 0.11;
/** Stretch beyond the last bin that tells what follows, mm × size. */
const BEYOND = 3;
const BEYOND_SPACINGS = 2.5;
const WHOLE_WIDTH = 0.65;
/** Share of the band above which the lowest point of a stretch stands off the board. */
const STANDS = 0.7;

/** What is seen in a bin: cells across, and heights over the rough surface. */
interface Bin {
  readonly cells: number[];
  readonly heights: number[];
  readonly areas: number[];
  /** Share of each point's normal that is upright, whatever its sign. */
  readonly upright: number[];
}

/** The last bin on the board, and how far the board's height there strays from the rough surface, mm. */
interface LastBin {
  readonly at: number;
  readonly drift: number;
  /** The same from the joint on, bin by bin. */
  readonly drifts: readonly number[];
}

export function findRoughExtent(points: BoardPoints, work: Workpiece, surface: RoughSurface): RoughExtent {
  const length = Math.max(BIN * work.size, 1.2 * work.spacing);
  const bins = fillBins(points, work, surface, length);
  const nut = walk(bins, length, work, -1);
  const end = walk(bins, length, work, 1);
  const band = bandWidth(work);
  return {
    nutX: nut.at * length,
    endX: (end.at + 1) * length,
    beyondNut: whatFollows(bins, nut, length, work),
    drift: (x) => {
      const { drifts, at } = x < 0 ? nut : end;
      const drift = drifts[Math.min(Math.abs(at), Math.floor(Math.abs(x) / length))] ?? 0;
      return drift - clipped(drift, band);
    },
  };
}

const cellWidth = (work: Workpiece): number => Math.max(CELL * work.size, 1.2 * work.spacing);

const cellsAcross = (work: Workpiece): number => Math.floor((2 * STRIP * work.size) / cellWidth(work));

const bandWidth = (work: Workpiece): number => Math.max(BAND * work.size, NOISE_BAND * Math.max(work.sigma, FACET_ERROR * work.facets));

function fillBins(points: BoardPoints, work: Workpiece, surface: RoughSurface, length: number): Map<number, Bin> {
  const cell = cellWidth(work);
  const bins = new Map<number, Bin>();
  for (let i = 0; i < points.count; i++) {
    if (Math.abs(points.y[i]) > STRIP * work.size) continue;
    const h = points.z[i] - roughHeight(surface, points.x[i], points.y[i]);
    if (Math.abs(h) > WINDOW * work.size) continue;
    const b = Math.floor(points.x[i] / length);
    let bin = bins.get(b);
    if (bin === undefined) {
      bin = { cells: [], heights: [], areas: [], upright: [] };
      bins.set(b, bin);
    }
    bin.cells.push(Math.floor(points.y[i] / cell));
    bin.heights.push(h);
    bin.areas.push(points.area[i]);
    bin.upright.push(Math.abs(points.nz[i]));
  }
  return bins;
}

/** The last bin of the last run of bins that lie on the board, away from the joint. */
function walk(bins: Map<number, Bin>, length: number, work: Workpiece, direction: 1 | -1): LastBin {
  const limit = Math.round((0.55 * work.bodyLength) / length);
  const band = bandWidth(work);
  // Facets have no holes but melt what stands near: beyond the board, strings alone fill part of the width.
  const whole = work.facets > 0 ? cellsAcross(work) : 0;
  let last = 0;
  let run = 0;
  let webbed = 0;
  let inWebs = false;
  let off = 0;
  const share = (aBin: number): number => 1 - (1 - aBin) ** (length / (BIN * work.size));
  let drift = startOf(bins, length, work, band);
  let slope = 0;
  const drifts: number[] = [];
  for (let k = 0; k < limit && (k - Math.abs(last)) * length < GAP * work.bodyLength; k++) {
    drift = clipped(drift + slope, LARGEST_DRIFT * work.size);
    drifts.push(drift);
    const bin = bins.get(direction * k);
    if (bin === undefined) continue;
    const onBoard = bin.heights.map((h) => Math.abs(h - drift) < band);
    const seen = new Set(bin.cells.filter((_, i) => onBoard[i])).size;
    const on = seen >= LEAST_SHARE * Math.max(whole, new Set(bin.cells).size) && areaShare(bin, onBoard) >= LEAST_AREA;
    webbed = on || isUnderWebs(bin, onBoard) ? webbed + 1 : 0;
    run = on ? run + 1 : 0;
    off = on || webbed > 0 ? off : off + 1;
    if (on || webbed > 0) {
      const off = median(bin.heights.filter((_, i) => onBoard[i])) - drift;
      drift += share(FOLLOWS) * off;
      slope = clipped(slope + share(FOLLOWS_SLOPE) * off, STEEPEST_DRIFT * length);
    } else slope = 0;
    const least = off * length >= OFF * work.size ? Math.max(RUN_AFTER_OFF * work.size, BINS_AFTER_OFF * length) : RUN * work.size;
    inWebs = webbed > 0 && (inWebs || Math.min(webbed, k - Math.abs(last)) * length >= UNDER_WEBS.run * work.size);
    if (run * length < least && !inWebs) continue;
    last = direction * k;
    off = 0;
  }
  return { at: last, drift, drifts };
}

/** Height over the rough surface at which most surface lies by the joint, mm: that of the board, or nothing where no height holds enough. */
function startOf(bins: Map<number, Bin>, length: number, work: Workpiece, band: number): number {
  const held = new Map<number, number>();
  const reach = Math.ceil((START * work.size) / length);
  for (let k = -reach; k <= reach; k++) {
    const bin = bins.get(k);
    bin?.heights.forEach((h, i) => {
      const level = Math.round(h / band);
      held.set(level, (held.get(level) ?? 0) + bin.areas[i]);
    });
  }
  let best = 0;
  for (const [level, area] of held) {
    if (Math.abs(level * band) <= LARGEST_START * work.size && area > MOST * (held.get(best) ?? 0)) best = level;
  }
  return best * band;
}

/** Another height than the rough surface's own is believed when it holds so many times the surface. */
const MOST = 2;

function isUnderWebs(bin: Bin, onBoard: readonly boolean[]): boolean {
  const up = new Set(bin.cells.filter((_, i) => onBoard[i] && bin.upright[i] > UNDER_WEBS.up)).size;
  return areaShare(bin, onBoard) >= UNDER_WEBS.area && up >= UNDER_WEBS.cells * new Set(bin.cells).size;
}

/** Share of a bin's surface that lies on the board. */
function areaShare(bin: Bin, onBoard: readonly boolean[]): number {
  let [on, all] = [0, 0];
  bin.areas.forEach((a, i) => {
    all += a;
    if (onBoard[i]) on += a;
  });
  return all > 0 ? on / all : 1;
}

const clipped = (v: number, most: number): number => Math.max(-most, Math.min(most, v));

/**
 * Over the whole width something stands up beyond the board, or the scan goes on lower, or neither. A stretch of a column across stands up when nothing in it
 * lies as low as the board: under strings and webs some of the board is seen.
 */
function whatFollows(bins: Map<number, Bin>, nut: LastBin, length: number, work: Workpiece): RoughExtent['beyondNut'] {
  const above = new Set<number>();
  const below = new Set<number>();
  const band = bandWidth(work);
  const count = Math.max(3, Math.round(Math.max(BEYOND * work.size, BEYOND_SPACINGS * work.spacing) / length));
  for (let k = 1; k <= count; k++) {
    for (const [cell, lowest] of lowestOf(bins.get(nut.at - k))) {
      if (lowest - nut.drift > STANDS * band) above.add(cell);
      else if (lowest - nut.drift < -band) below.add(cell);
    }
  }
  const cells = cellsAcross(work);
  if (above.size >= WHOLE_WIDTH * cells) return 'rises';
  return below.size >= WHOLE_WIDTH * cells ? 'drops' : 'nothing';
}

/** Low quantile of the heights in each cell of a bin: single noisy points do not count. */
const LOW = 0.25;

function lowestOf(bin: Bin | undefined): ReadonlyMap<number, number> {
  const heights = new Map<number, number[]>();
  bin?.cells.forEach((cell, i) => {
    const there = heights.get(cell);
    if (there === undefined) heights.set(cell, [bin.heights[i]]);
    else there.push(bin.heights[i]);
  });
  return new Map([...heights].map(([cell, there]) => [cell, quantile(there, LOW)]));
}
