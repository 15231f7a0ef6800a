import type { Cloud } from '../geometry/cloud.ts';
import { quantile } from '../numerics/statistics.ts';

/** Zone over the joint in which the board's width is looked up, mm × size. */
const ZONE = { along: 12, from: 5, to: 24, across: 30 };
/** Usual half-width of a board at the joint, share of body length (common practice, no source). */
const USUAL_HALF = 0.047;
const FEWEST = 20;

/** Half-width of the board over the joint, mm: what lies beneath it or beside it within 5 mm does not count for the edge plane. */
export function boardHalfWidth(cloud: Cloud, bodyLength: number, size: number): number {
  const p = cloud.positions;
  const y: number[] = [];
  for (let i = 0; i < cloud.count; i++) {
    const z = p[3 * i + 2] / size;
    if (Math.abs(p[3 * i]) < ZONE.along * size && z > ZONE.from && z < ZONE.to && Math.abs(p[3 * i + 1]) < ZONE.across * size)
      y.push(Math.abs(p[3 * i + 1]));
  }
  return y.length < FEWEST ? USUAL_HALF * bodyLength : quantile(y, 0.97);
}
