import { SmallMotionFit, motionOfSmall } from '../fits/small-motion.ts';
import { compose, type Motion } from '../geometry/motion.ts';
import type { Vec3 } from '../geometry/vec3.ts';
import { mad, weightedQuantile } from '../numerics/statistics.ts';
import type { Cores } from './cores.ts';
import { type Distances, distancesAt } from './distances.ts';
import type { PatchReader } from './patch-reader.ts';

/** Two scans of one body, brought together. */
export interface RobustRegistration {
  /** Later scan's instrument frame → baseline's. */
  readonly motion: Motion;
  /** Distances left at the cores, and which of them were used. */
  readonly distances: Distances;
  readonly used: Uint8Array;
  /** RMS of the distances used, even by area, mm. */
  readonly rms: number;
  /** Median size of all distances, used or not, mm. */
  readonly typical: number;
  /** Share of the baseline's body that the later scan shows, by area. */
  readonly overlap: number;
  /** Share of the area seen in both that was used. */
  readonly share: number;
  readonly stopped: 'settled' | 'rounds';
}

/** A round of registration: reach along the normals, mm × size, and whether all cores take part or a share. */
const ROUNDS: readonly { readonly depth: number; readonly every: number }[] = [
  { depth: 9, every: 7 },
  { depth: 5, every: 5 },
  { depth: 3, every: 3 },
  { depth: 2, every: 1 },
  { depth: 1.6, every: 1 },
  { depth: 1.6, every: 1 },
  { depth: 1.6, every: 1 },
];
/** Cores farther from the rest than this many robust deviations have changed, or are no body. */
export const CUT = 5;
/** ... but never nearer than this, mm × size: two noise-free scans differ by their meshes. */
export const LEAST_CUT = 0.02;
/** Cut and fit, repeated within a round. */
const TRIMS = 4;
/** Largest movement of the body in a round at which the registration has settled, mm. */
const SETTLED = 2e-4;

/**
 * Registers a later scan to the baseline on the body alone: least squares of the distances along the baseline's normals, even by area, from two frames that agree to some
 * millimetres. The motion is a rotation and a shift; it cannot mirror or scale.
 *
 * @param start  later's frame → baseline's, to about 9 mm × size
 * @throws {RangeError} where the surfaces that both scans show do not hold a motion
 */
export function registerBody(cores: Cores, later: PatchReader, size: number, centre: Vec3, start: Motion): RobustRegistration {
  let motion = start;
  let stopped: RobustRegistration['stopped'] = 'rounds';
  for (const { depth, every } of ROUNDS) {
    const { distance } = distancesAt(cores, later, motion, depth * size, every);
    const { step } = trimmedStep(cores, distance, size, centre);
    motion = compose(motionOfSmall(step, centre), motion);
    const moved = Math.hypot(step[3], step[4], step[5]) + Math.hypot(step[0], step[1], step[2]) * REACH * size;
    if (every === 1 && moved < SETTLED) {
      stopped = 'settled';
      break;
    }
  }
  const distances = distancesAt(cores, later, motion, LAST_DEPTH * size);
  const { used } = trimmedStep(cores, distances.distance, size, centre);
  return { motion, distances, used, ...quality(cores, distances.distance, used), stopped };
}

const LAST = ROUNDS[ROUNDS.length - 1];
/** Reach along the normals of the last round, mm × size. */
export const LAST_DEPTH = LAST.depth;
/** Half a body, mm × size: what a rotation moves at its ends. */
const REACH = 180;

/** Fit, put aside what lies far from it, fit again. */
function trimmedStep(cores: Cores, distance: Float64Array, size: number, centre: Vec3): { step: Float64Array; used: Uint8Array } {
  const used = Uint8Array.from(distance, (d) => (Number.isNaN(d) ? 0 : 1));
  let step = new Float64Array(6);
  for (let k = 0; k < TRIMS; k++) {
    const fit = new SmallMotionFit(cores.xyz, cores.normal, weightsOf(cores, used), centre);
    step = fit.solve(distance.map((d) => -d)) as Float64Array<ArrayBuffer>;
    const rest = Float64Array.from(distance, (d, i) => d + fit.explained(step, i));
    const limit = Math.max(CUT * mad(rest.filter((r) => !Number.isNaN(r))), LEAST_CUT * size);
    let changed = 0;
    for (let i = 0; i < used.length; i++) {
      const keep = Math.abs(rest[i]) <= limit ? 1 : 0;
      if (keep !== used[i]) changed++;
      used[i] = keep;
    }
    if (changed === 0) break;
  }
  return { step, used };
}

export const weightsOf = (cores: Cores, used: Uint8Array): Float64Array => cores.area.map((a, i) => (used[i] === 1 ? a : 0));

export function quality(cores: Cores, distance: Float64Array, used: Uint8Array) {
  let [all, seen, kept, squares] = [0, 0, 0, 0];
  const sizes: number[] = [];
  const areas: number[] = [];
  for (let i = 0; i < cores.count; i++) {
    all += cores.area[i];
    if (Number.isNaN(distance[i])) continue;
    seen += cores.area[i];
    sizes.push(Math.abs(distance[i]));
    areas.push(cores.area[i]);
    if (used[i] === 0) continue;
    kept += cores.area[i];
    squares += cores.area[i] * distance[i] ** 2;
  }
  return { rms: Math.sqrt(squares / kept), typical: weightedQuantile(sizes, areas, 0.5), overlap: seen / all, share: kept / seen };
}
