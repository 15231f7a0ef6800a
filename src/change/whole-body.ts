import { SmallMotionFit, motionOfSmall } from '../fits/small-motion.ts';
import { compose } from '../geometry/motion.ts';
import type { Vec3 } from '../geometry/vec3.ts';
import { mad, median } from '../numerics/statistics.ts';
import { ZONE } from './body-zones.ts';
import type { Cores } from './cores.ts';
import { distancesAt } from './distances.ts';
import { PRIOR } from './long-wave-of-pair.ts';
import type { PatchReader } from './patch-reader.ts';
import { CUT, LAST_DEPTH, LEAST_CUT, quality, type RobustRegistration, weightsOf } from './register-body.ts';

/** What the body is, and how well its scans are known. */
export interface WholeBody {
  readonly size: number;
  /** mm. */
  readonly bodyLength: number;
  readonly centre: Vec3;
  /** White noise of both scans together, mm. */
  readonly sigma: number;
  /** The most long-wave error that both together may have, mm RMS: stated, or by the prior. */
  readonly longWave: number;
}

/** Two scans of one body, referred to all of it. */
export interface BodyRegistration extends RobustRegistration {
  /** Cores on the body, whether it changed there or not. */
  readonly body: Uint8Array;
  /** Where the body kept its shape, and what is left there when it is registered on that alone, by `fit`: the scanners' errors, and nothing else. */
  readonly quiet: { readonly distance: Float64Array; readonly used: Uint8Array; readonly fit: SmallMotionFit };
  /** Whether the plates or ribs themselves moved, and whether the upper block turned. */
  readonly moved: boolean;
  readonly turned: boolean;
  /** Where a body that moved was not seen, and how the registration would follow what it did there. */
  readonly unseen?: { readonly cores: Uint8Array; readonly fit: SmallMotionFit };
}

/** Share of the body's length that the upper block takes (measurands.md), within which it may turn by itself. */
export const BLOCK = 0.12;
/** Edge of the cells whose cores are neighbours, mm × size, and fewest neighbours that tell whether a core agrees with them. */
const NEAR = 12;
const FEWEST = 5;
/** Share of the body's area that has moved together from which on it is the body that changed: labels, scratches and wear are smaller. */
const CHANGED = 0.02;
/** What of a scan's long-wave error a block's stretch still holds as a difference of height of its ends. */
const OF_IT = 0.7;
/** Standard deviations of that, and least turn of the block, rad, from which on it is left out. */
const BLOCK_Z = 3;
const LEAST_TURN = 3e-4;
/** Least share of its ribs and back that both scans must show: a strip of the ribs turns with its own noise. */
const BLOCK_SEEN = 0.6;
/**
 * Refers a robust registration, which leans on what did not change, to the motion that the definition asks for: that which minimises the mean square distance, even by area, over the
 * whole body; an upper block that turned is left out. Where the body kept its shape both are the same, and the robust one stays.
 */
export function registerWhole(cores: Cores, later: PatchReader, robust: RobustRegistration, shape: WholeBody): BodyRegistration {
  const { size, centre, bodyLength } = shape;
  const inBlock = (i: number): boolean => cores.xyz[3 * i] < BLOCK * bodyLength;
  const body = together(cores, robust, size);
  const turned = blockTurned(cores, robust.distances.distance, shape);
  const counts = (i: number): boolean => !(turned && inBlock(i));
  const apart = areaOf(cores, (i) => body[i] === 1 && robust.used[i] === 0 && counts(i)) > CHANGED * areaOf(cores, (i) => body[i] === 1);
  const moved = apart || topMoved(cores, robust, shape);
  const quiet = quietPart(
    cores,
    robust,
    robust.used.map((u, i) => (u === 1 && counts(i) && !(moved && cores.zone[i] === ZONE.top) ? 1 : 0)),
    centre,
  );
  if (!moved && !turned) return { ...robust, body, quiet, moved, turned };
  // What is not seen is taken to have stayed with the parts that kept their shape.
  const { distance } = robust.distances;
  const known = robust.used.map((u, i) => (moved ? body[i] : u));
  const whole = known.map((k, i) => (counts(i) && (k === 1 || moved) ? 1 : 0));
  const fit = new SmallMotionFit(cores.xyz, cores.normal, weightsOf(cores, whole), centre);
  const step = fit.solve(distance.map((d, i) => (known[i] === 1 ? -d : 0)));
  const motion = compose(motionOfSmall(step, centre), robust.motion);
  const distances = distancesAt(cores, later, motion, LAST_DEPTH * size);
  const seen = (list: Uint8Array): Uint8Array => list.map((u, i) => (Number.isNaN(distances.distance[i]) ? 0 : u));
  const used = seen(known.map((k, i) => (counts(i) ? k : 0)));
  return {
    ...robust,
    motion,
    distances,
    used,
    ...quality(cores, distances.distance, used),
    body,
    quiet: { ...quiet, used: seen(quiet.used) },
    moved,
    turned,
    ...(moved ? { unseen: { fit, cores: whole.map((w, i) => (w === 1 && known[i] === 0 ? 1 : 0)) } } : {}),
  };
}

/** Least share of a surface that must be seen to tell how far the rest of it changed. */
const TELLS = 0.2;

/** By core: RMS of what its own surface, top, ribs or back, changed where it is seen, mm; of the whole body where too little of that surface is. */
export function changeBySurface(
  cores: Cores,
  { distances, used, rms }: Pick<BodyRegistration, 'distances' | 'used' | 'rms'>,
): Float64Array {
  const of = new Map(
    Object.values(ZONE).map((zone) => {
      const seen = (i: number): boolean => cores.zone[i] === zone && used[i] === 1;
      const area = areaOf(cores, seen);
      let squares = 0;
      for (let i = 0; i < cores.count; i++) if (seen(i)) squares += cores.area[i] * distances.distance[i] ** 2;
      return [zone as number, area < TELLS * areaOf(cores, (i) => cores.zone[i] === zone) ? rms : Math.sqrt(squares / area)];
    }),
  );
  return Float64Array.from(cores.zone, (zone) => of.get(zone) ?? rms);
}

/** The top's residual in the most that its scanners' errors make likely, and in that of the ribs, which keep their shape, from which on the top as a whole rose or sank: a robust fit leans on it then. */
const BEYOND_ERRORS = 1.4;
const BEYOND_RIBS = 3;
/** Fewest cores of top and ribs each that tell. */
const FEWEST_TOLD = 60;

function topMoved(cores: Cores, { distances, used }: RobustRegistration, { longWave }: WholeBody): boolean {
  const rmsOf = (zone: number): number | undefined => {
    let [n, squares, area] = [0, 0, 0];
    for (let i = 0; i < cores.count; i++) {
      if (cores.zone[i] !== zone || used[i] === 0) continue;
      n++;
      area += cores.area[i];
      squares += cores.area[i] * (distances.distance[i] ** 2 - distances.variance[i]);
    }
    return n < FEWEST_TOLD ? undefined : Math.sqrt(Math.max(0, squares / area));
  };
  const [top, ribs] = [rmsOf(ZONE.top), rmsOf(ZONE.ribs)];
  return top !== undefined && ribs !== undefined && top > BEYOND_ERRORS * longWave && top > BEYOND_RIBS * ribs;
}

/** Registered on what kept its shape alone; where that does not hold a motion, as it was. */
function quietPart(cores: Cores, robust: RobustRegistration, used: Uint8Array, centre: Vec3): BodyRegistration['quiet'] {
  const { distance } = robust.distances;
  try {
    const fit = new SmallMotionFit(cores.xyz, cores.normal, weightsOf(cores, used), centre);
    const step = fit.solve(distance.map((d) => -d));
    return { distance: distance.map((d, i) => d + fit.explained(step, i)), used, fit };
  } catch (error) {
    // Ribs of one bout, or none.
    if (error instanceof RangeError)
      return { distance, used, fit: new SmallMotionFit(cores.xyz, cores.normal, weightsOf(cores, robust.used), centre) };
    throw error;
  }
}

function areaOf(cores: Cores, counts: (i: number) => boolean): number {
  let sum = 0;
  for (let i = 0; i < cores.count; i++) if (counts(i)) sum += cores.area[i];
  return sum;
}

/** The cores used, and those put aside that moved together with their neighbours on the same surface: the plate, not something on it. */
function together(cores: Cores, { distances, used }: RobustRegistration, size: number): Uint8Array {
  const { distance } = distances;
  const cell = NEAR * size;
  const key = (i: number, dx = 0, dy = 0, dz = 0): string =>
    [dx, dy, dz].map((d, k) => Math.floor(cores.xyz[3 * i + k] / cell) + d).join(' ') + cores.zone[i];
  const cells = new Map<string, number[]>();
  const kept: number[] = [];
  for (let i = 0; i < cores.count; i++) {
    if (Number.isNaN(distance[i])) continue;
    if (used[i] === 1) kept.push(distance[i]);
    const list = cells.get(key(i));
    if (list === undefined) cells.set(key(i), [i]);
    else list.push(i);
  }
  const limit = Math.max(CUT * mad(kept), LEAST_CUT * size);
  const steps = [-1, 0, 1];
  return used.map((u, i) => {
    if (u === 1 || Number.isNaN(distance[i])) return u;
    const near = steps.flatMap((x) => steps.flatMap((y) => steps.flatMap((z) => cells.get(key(i, x, y, z)) ?? [])));
    return near.length > FEWEST && Math.abs(distance[i] - median(near.map((j) => distance[j]))) <= limit ? 1 : 0;
  });
}

/** Whether ribs and back beside the upper block turned about y against the rest by more than the scanners' long-wave error may feign. */
function blockTurned(cores: Cores, distance: Float64Array, { bodyLength, centre, sigma }: WholeBody): boolean {
  const onBlock = (i: number): boolean => cores.xyz[3 * i] < BLOCK * bodyLength && cores.zone[i] !== ZONE.top;
  const seen = (i: number): boolean => onBlock(i) && !Number.isNaN(distance[i]);
  if (areaOf(cores, seen) < BLOCK_SEEN * areaOf(cores, onBlock)) return false;
  const u = (OF_IT * PRIOR.middle * sigma) / (BLOCK * bodyLength);
  try {
    const weights = cores.area.map((a, i) => (seen(i) ? a : 0));
    const turn = new SmallMotionFit(cores.xyz, cores.normal, weights, [0, 0, centre[2]]).solve(distance)[1];
    return Math.abs(turn) > Math.max(BLOCK_Z * u, LEAST_TURN);
  } catch (error) {
    // Too little of the block is seen to hold its motion: nothing says that it turned.
    if (error instanceof RangeError) return false;
    throw error;
  }
}
