import type { Workpiece } from '../family.ts';
import { noisePatches, PATCH } from './noise-patches.ts';
import type { PointNoise } from './shared-noise.ts';
import { shortWave } from './short-wave.ts';

/**
 * Noise of the scan's points and how far neighbours share it, from the scan itself; undefined where too little of a smooth body is seen, or too coarsely. Not for thinned meshes: points that were put on large facets
 * share their corners' noise by construction, which has a source of its own.
 *
 * @param surfaceSpacing  spacing of the points over most of the surface, mm
 */
export function pointNoise({ cloud, bodyLength, spacing }: Workpiece, surfaceSpacing: number): PointNoise | undefined {
  if (surfaceSpacing > COARSEST || surfaceSpacing > UNEVEN * spacing) return undefined;
  const found = shortWave(noisePatches(cloud, bodyLength), spacing);
  return found === undefined ? undefined : { ...found, spacing };
}

/** mm. In coarser scans too few points lie on a smooth piece, and what holds enough of them is a rim. */
const COARSEST = PATCH / 7;
/** In a mesh that was thinned where it is flat, most points lie on rims and wires: they, not smooth pieces, would fill the patches. */
const UNEVEN = 1.7;
