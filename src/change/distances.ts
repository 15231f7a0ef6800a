import { applyToDirections, applyToPoints, invert, type Motion } from '../geometry/motion.ts';
import type { Cores } from './cores.ts';
import type { PatchReader } from './patch-reader.ts';

/** How far the later scan's surface lies from the baseline's, along the baseline's outward normals. */
export interface Distances {
  /** mm; NaN where the later scan shows no surface. */
  readonly distance: Float64Array;
  /** White-noise variance of both scans' places, mm². */
  readonly variance: Float64Array;
}

/**
 * @param later  reads the later scan's surface, in its own frame
 * @param motion  later's frame → baseline's instrument frame
 * @param depth  reach along the normals, mm
 * @param every  reads every so-manyth core only
 */
export function distancesAt(cores: Cores, later: PatchReader, motion: Motion, depth: number, every = 1): Distances {
  const back = invert(motion);
  const xyz = applyToPoints(back, cores.xyz, new Float64Array(cores.xyz.length));
  const normal = applyToDirections(back, cores.normal, new Float64Array(cores.normal.length));
  const distance = new Float64Array(cores.count).fill(Number.NaN);
  const variance = new Float64Array(cores.count).fill(Number.NaN);
  for (let i = 0; i < cores.count; i += every) {
    const patch = later.read(xyz.subarray(3 * i, 3 * i + 3), normal.subarray(3 * i, 3 * i + 3), depth);
    if (patch === undefined) continue;
    distance[i] = patch.distance;
    variance[i] = cores.variance[i] + patch.scatter * patch.cofactor;
  }
  return { distance, variance };
}
