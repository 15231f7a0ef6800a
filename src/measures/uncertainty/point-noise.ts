import type { Workpiece } from '../family.ts';
import { noisePatches } from './noise-patches.ts';
import type { PointNoise } from './shared-noise.ts';
import { shortWave } from './short-wave.ts';

/**
 * Noise of the scan's points and how far neighbours share it, from the scan itself; nothing where too little of a smooth body is seen. Not for thinned meshes: points that were put on large facets
 * share their corners' noise by construction, which has a source of its own.
 */
export function pointNoise({ cloud, bodyLength, spacing }: Workpiece): { readonly points?: PointNoise } {
  const found = shortWave(noisePatches(cloud, bodyLength, spacing), spacing);
  return found === undefined ? {} : { points: { ...found, spacing } };
}
