import type { Vec3 } from '../geometry/vec3.ts';

/** Points looked at an axis: their median is well inside the scan whatever strays. */
const SAMPLES = 1001;
/** Share of the samples cut at each end: the middle half is the extent, which strays cannot touch. */
const TRIM = 0.25;
/** A scan whose median is nearer to zero than this many extents keeps its own origin: that costs two bits of 24 at most. */
const NEAR = 2;

/**
 * Where positions are counted from: zero for a scan that lies around its own origin (its numbers then stay as they are),
 * else the median of its points, so that narrowing to 32 bits costs no more than the extent warrants. A single stray point cannot move it.
 *
 * @param coordinate  of point `index` along `axis` (0, 1, 2), any unit
 * @param count  ≥ 1
 */
export function scanOrigin(coordinate: (index: number, axis: number) => number, count: number): Vec3 {
  const samples = Math.min(SAMPLES, count);
  const medians: number[] = [];
  let extent = 0;
  for (let axis = 0; axis < 3; axis++) {
    const sorted = new Float64Array(samples);
    for (let i = 0; i < samples; i++) sorted[i] = coordinate(Math.floor(((i + 0.5) * count) / samples), axis);
    sorted.sort();
    const trim = Math.floor(TRIM * samples);
    extent = Math.max(extent, sorted[samples - 1 - trim] - sorted[trim]);
    medians.push(sorted[samples >> 1]);
  }
  return medians.every((median) => Math.abs(median) <= NEAR * extent) ? [0, 0, 0] : [medians[0], medians[1], medians[2]];
}
