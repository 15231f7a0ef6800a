import { SmallMotionFit, motionOfSmall, smallOfMotion } from '../fits/small-motion.ts';
import { compose, invert, type Motion } from '../geometry/motion.ts';
import type { Vec3 } from '../geometry/vec3.ts';
import { mad } from '../numerics/statistics.ts';
import type { Cores } from './cores.ts';
import { distancesAt } from './distances.ts';
import type { NeckFit } from './fit-neck.ts';
import type { PatchReader } from './patch-reader.ts';

/** What pegbox and scroll tell of the neck's shift along the body, which its smooth back and sides hardly show. */
export interface HeadFit {
  /** Middle of the head, mm, and the shift along x by it of the place that `NeckFit.origin` names, mm. */
  readonly centre: Vec3;
  readonly x: number;
  /** Standard uncertainty of that beyond the scans' errors, mm: what the test of moving with the wood does not see. */
  readonly u: number;
  readonly used: Uint8Array;
  readonly variance: Float64Array;
  readonly fit: SmallMotionFit;
}

/** Reach along the normals, mm × size, round by round: back and sides leave the shift along x open by half a millimetre. */
const DEPTHS = [2, 1.5, 1, 1];
/** Cores off the rest by this many robust deviations are pegs that were turned, strings, labels. */
const CUT = 4;
const LEAST_CUT = 0.03;
/** Fewest cores, and the least share that must be seen again and agree. */
const FEWEST = 80;
const LEAST_SHARE = 0.4;
/** Robust scatter of the distances from which on the head has another shape, mm × size. */
const OTHER_SHAPE = 0.12;
/**
 * How far the head may seem to have moved against the wood: mm × size across, and degrees about y and z. The wood's pitch and yaw, carried on from the middle of the neck, are
 * known to so much on ordinary scans.
 */
const ACROSS = 0.25;
const TURNED = 0.12;
/** A turn of the head that no scan tells from none, degrees. */
const LEAST_TURN = 0.02;
const DEGREES = 180 / Math.PI;

/**
 * The head as a rigid body, where it moved as the neck's wood did.
 *
 * @param motion  later's frame → baseline's, by the body
 * @returns undefined where too little of it is seen, or where it moved or changed by itself
 */
export function fitHead(cores: Cores, later: PatchReader, neck: NeckFit, motion: Motion, size: number): HeadFit | undefined {
  if (cores.count < FEWEST) return undefined;
  const centre = middleOf(cores);
  const byNeck = motionOfSmall(neck.state.subarray(0, 6), neck.origin);
  let back = compose(invert(byNeck), motion);
  let used = new Uint8Array(cores.count);
  let variance: Float64Array = new Float64Array(cores.count);
  let fit: SmallMotionFit | undefined;
  for (const depth of DEPTHS) {
    const read = distancesAt(cores, later, back, depth * size);
    const solved = rigid(cores, read.distance, centre, size);
    if (solved === undefined) return undefined;
    ({ used, fit } = solved);
    variance = read.variance;
    back = compose(
      motionOfSmall(
        solved.step.map((v) => -v),
        centre,
      ),
      back,
    );
  }
  const byHead = compose(motion, invert(back));
  const x = neck.state[3] + smallOfMotion(compose(byHead, invert(byNeck)), centre)[3];
  // The wood leaves its shift along x open, and with it, by the neck's taper, what hangs together with that: the test is of the rest.
  const held = shiftedAlong(neck, x).subarray(0, 6);
  const own = smallOfMotion(compose(byHead, invert(motionOfSmall(held, neck.origin))), centre);
  const across = Math.hypot(own[4], own[5]);
  const turned = Math.hypot(own[1], own[2]) * DEGREES;
  if (fit === undefined || across > ACROSS * size || turned > TURNED) return undefined;
  // A head that turned by itself moved along x as well, by its height over the place where it did.
  const lever = Math.abs(centre[2] - neck.origin[2]);
  const u = (Math.max(LEAST_TURN, Math.abs(own[1]) * DEGREES) * lever) / DEGREES / Math.sqrt(3);
  return { centre, x, u, used, variance, fit };
}

/** The neck's state where its shift along x is known otherwise. */
export function shiftedAlong({ state, fit }: Pick<NeckFit, 'state' | 'fit'>, x: number): Float64Array {
  const along = fit.alongWith(3);
  return state.map((v, k) => v + along[k] * (x - state[3]));
}

function middleOf(cores: Cores): Vec3 {
  const sum = [0, 0, 0];
  for (let i = 0; i < 3 * cores.count; i++) sum[i % 3] += cores.xyz[i];
  return [sum[0] / cores.count, sum[1] / cores.count, sum[2] / cores.count];
}

function rigid(cores: Cores, distance: Float64Array, centre: Vec3, size: number) {
  let used = Uint8Array.from(distance, (d) => (Number.isNaN(d) ? 0 : 1));
  for (let k = 0; ; k++) {
    if (used.reduce((s, v) => s + v, 0) < Math.max(FEWEST, LEAST_SHARE * cores.count)) return undefined;
    const fit = new SmallMotionFit(
      cores.xyz,
      cores.normal,
      cores.area.map((a, i) => (used[i] === 1 ? a : 0)),
      centre,
    );
    const step = fit.solve(distance);
    const rest = Float64Array.from(distance, (d, i) => d - fit.explained(step, i));
    const scatter = mad(rest.filter((r) => !Number.isNaN(r)));
    if (k === 3) return scatter > OTHER_SHAPE * size ? undefined : { fit, step, used };
    used = Uint8Array.from(rest, (r) => (Math.abs(r) <= Math.max(CUT * scatter, LEAST_CUT * size) ? 1 : 0));
  }
}
