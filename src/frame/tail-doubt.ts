import type { Samples } from '../geometry/samples.ts';
import { TAIL } from './outline-beside-saddle.ts';

/** Cells across the tail end, share of body length, in which outline is seen or not. */
const CELL = 0.01;
/** Arcs that change their radius under what hides them put the continued outline off by this at a gap as wide as saddles leave, mm × size; it grows with the square of the gap. */
const AT_SADDLE = 0.2;
/** What a side that is all but hidden leaves open, mm × size: its slant to the other is then hardly known. */
const SIDE_HIDDEN = 0.3;

/**
 * How uncertain the tail end is beyond the usual, standard, mm: chin rests and clamps widen the gap that the outline is continued across, or hide most of one side.
 *
 * @param beside  outline beside the saddle, working frame
 */
export function tailDoubt(beside: Samples, bodyLength: number): number {
  const cells = [new Set<number>(), new Set<number>()];
  const nearest = [TAIL.to, TAIL.to];
  for (let i = 0; i < beside.count; i++) {
    const y = beside.xyz[3 * i + 1] / bodyLength;
    const side = y < 0 ? 0 : 1;
    cells[side].add(Math.floor(Math.abs(y) / CELL));
    nearest[side] = Math.min(nearest[side], Math.abs(y));
  }
  const size = bodyLength / 355;
  const gap = (nearest[0] + nearest[1]) / (2 * TAIL.from);
  const wider = AT_SADDLE * Math.max(0, gap * gap - 1);
  const all = (TAIL.to - TAIL.from) / CELL;
  const hidden = SIDE_HIDDEN * Math.max(0, 1 - Math.min(cells[0].size, cells[1].size) / all);
  return size * Math.hypot(wider, hidden);
}
