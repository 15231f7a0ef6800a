import { quantile } from '../../numerics/statistics.ts';
import type { Workpiece } from '../family.ts';
import type { BoardPoints } from './board-points.ts';

/** Half-width of the strip about the centreline that every board covers, mm × size. */
const STRIP = 8;
/** |n·z| of a point that may lie on a playing surface. */
const UPWARD = 0.75;
/** Points below this many tell nothing. */
const LEAST_POINTS = 50;
/** Seven points in ten stand for no more than the square of this spacing: cells and bins are then rarely empty. */
const SHARE = 0.7;

/** Spacing of points over and beside the board, mm: scans are often denser or thinner there than elsewhere. */
export function localSpacing(points: BoardPoints, work: Workpiece): number {
  const sides: number[] = [];
  for (let i = 0; i < points.count; i++) {
    if (Math.abs(points.y[i]) < STRIP * work.size && Math.abs(points.nz[i]) > UPWARD && points.area[i] > 0)
      sides.push(Math.sqrt(points.area[i]));
  }
  return sides.length < LEAST_POINTS ? work.spacing : Math.max(work.spacing, quantile(sides, SHARE));
}
