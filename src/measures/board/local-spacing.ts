import { quantile, weightedQuantile } from '../../numerics/statistics.ts';
import type { Workpiece } from '../family.ts';
import type { BoardPoints } from './board-points.ts';

/** Half-width of the strip about the centreline that every board covers, mm × size. */
const STRIP = 8;
/** |n·z| of a point that may lie on a playing surface. */
const UPWARD = 0.75;
/** Points below this many tell nothing, and more than this many nothing new. */
const LEAST_POINTS = 50;
const ENOUGH_POINTS = 4000;
/**
 * This share of the surface is seen at no more than the spacing: cells and bins are then rarely empty. By area, since a mesh that is thinned where it is flat holds more points
 * on strings than on the board beneath them.
 */
const SHARE = 0.6;

/** Spacing of points over and beside the board, mm: scans are often denser or thinner there than elsewhere. */
export function localSpacing(points: BoardPoints, work: Workpiece): number {
  const areas: number[] = [];
  const every = Math.max(1, Math.floor(points.count / ENOUGH_POINTS));
  for (let i = 0; i < points.count; i += every) {
    if (Math.abs(points.y[i]) < STRIP * work.size && Math.abs(points.nz[i]) > UPWARD && points.area[i] > 0) areas.push(points.area[i]);
  }
  return areas.length < LEAST_POINTS ? work.spacing : Math.max(work.spacing, Math.sqrt(weightedQuantile(areas, areas, SHARE)));
}

/** Stretch about a step across the board in which its own points lie, mm × size. */
const AT_STEP = 4;

/** Spacing of points about a step across the board, mm: a mesh thinned where it is flat keeps more of them there than on the board. */
export function spacingAtStep(points: BoardPoints, work: Workpiece, x: number): number {
  const sides: number[] = [];
  for (let i = 0; i < points.count; i++) {
    if (Math.abs(points.x[i] - x) < AT_STEP * work.size && Math.abs(points.y[i]) < STRIP * work.size && points.area[i] > 0)
      sides.push(Math.sqrt(points.area[i]));
  }
  return sides.length < LEAST_POINTS ? work.spacing : Math.min(work.spacing, quantile(sides, SHARE));
}

/** Side of the patch that a point of a part stands for, half of the part's surface by half, mm; 0 for no points. */
export function spacingOf(points: BoardPoints, members: Int32Array): number {
  if (members.length === 0) return 0;
  const areas = Float64Array.from(members, (i) => points.area[i]);
  return Math.sqrt(weightedQuantile(areas, areas, 0.5));
}
