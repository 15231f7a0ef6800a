import type { Workpiece } from '../family.ts';
import type { BoardPoints } from './board-points.ts';
import { type RoughSurface, roughHeight } from './rough-surface.ts';

/** Band about the rough surface in which the signs of normals are counted, mm × size. */
const SIGN_BAND = 0.4;
/** Half-width of the strip, mm × size, and |n·z| of the points that are counted. */
const STRIP = 9;
const UPWARD = 0.75;

/** Points whose normals point out of the board: a mesh that is turned inside out is turned back. */
export function turnOutward(points: BoardPoints, work: Workpiece, rough: RoughSurface): BoardPoints {
  if (!work.cloud.oriented) return points;
  let balance = 0;
  for (let i = 0; i < points.count; i++) {
    if (Math.abs(points.y[i]) > STRIP * work.size || Math.abs(points.nz[i]) < UPWARD) continue;
    if (Math.abs(points.z[i] - roughHeight(rough, points.x[i], points.y[i])) < SIGN_BAND * work.size) balance += Math.sign(points.nz[i]);
  }
  if (balance >= 0) return points;
  return { ...points, nx: points.nx.map((v) => -v), ny: points.ny.map((v) => -v), nz: points.nz.map((v) => -v) };
}
