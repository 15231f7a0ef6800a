import { SmallMotionFit, motionOfSmall, smallOfMotion } from '../fits/small-motion.ts';
import { compose, invert, type Motion } from '../geometry/motion.ts';
import type { Vec3 } from '../geometry/vec3.ts';
import { mad } from '../numerics/statistics.ts';
import type { Cores } from './cores.ts';
import { distancesAt } from './distances.ts';
import type { NeckFit } from './fit-neck.ts';
import type { PatchReader } from './patch-reader.ts';

/** What pegbox and scroll, or without them the board, tell of the two motions that the neck's smooth back and sides hardly show: its shift along the body and its roll. */
export interface HeadFit {
  /** Middle of the head, mm. */
  readonly centre: Vec3;
  /** By the head, in terms of `NeckFit.state`: roll, rad, and shift along x, mm. */
  readonly roll: number;
  readonly x: number;
  /** Standard uncertainty of both beyond the scans' errors: what the test of moving with the wood does not see. */
  readonly uRoll: number;
  readonly uX: number;
  /** Their squares in the terms of the fits' cofactors: what the scans' errors make of a square millimetre. */
  readonly slackRoll: number;
  readonly slackX: number;
  readonly variance: Float64Array;
  readonly fit: SmallMotionFit;
}

type Holding = Pick<HeadFit, 'roll' | 'x' | 'slackRoll' | 'slackX' | 'fit'>;

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
const ACROSS = 0.35;
const TURNED = 0.18;
/** Slope in which a parabola ends against its chord, in sagittas over the chord. */
export const END_SLOPE = 4;
/** A turn of the head that no scan tells from none, and the twist of a neck between its middle and its head, degrees. */
const LEAST_TURN = 0.02;
const TWIST = 0.03;
/** More than this is no error of the wood's roll on any scan, degrees. */
const LARGEST_TWIST = 1.5;
const DEGREES = 180 / Math.PI;

/**
 * The head, or the board on the neck, as a rigid body, where it moved as the neck's wood did.
 *
 * @param motion  later's frame → baseline's, by the body
 * @param errors  variance of the mean distance over a large area, times that area, mm⁴
 * @returns undefined where too little of it is seen, or where it moved or changed by itself
 */
export function fitHead(
  cores: Cores,
  later: PatchReader,
  neck: NeckFit,
  motion: Motion,
  { size, errors }: { readonly size: number; readonly errors: number },
): HeadFit | undefined {
  if (cores.count < FEWEST) return undefined;
  const centre = middleOf(cores);
  const byNeck = motionOfSmall(neck.state.subarray(0, 6), neck.origin);
  // A warp turns what lies beyond its stretch in the plane of symmetry, and neither rolls nor yaws it.
  const slope = (END_SLOPE * neck.state[6]) / neck.chord;
  const beyond = Math.max(0, neck.far - centre[0]);
  const end: Vec3 = [neck.far, neck.origin[1], neck.origin[2]];
  const start = beyond === 0 ? byNeck : compose(byNeck, motionOfSmall([0, slope, 0, 0, 0, 0], end));
  let back = compose(invert(start), motion);
  let variance: Float64Array = new Float64Array(cores.count);
  let fit: SmallMotionFit | undefined;
  for (const depth of DEPTHS) {
    const read = distancesAt(cores, later, back, depth * size);
    const solved = rigid(cores, read.distance, centre, size);
    if (solved === undefined) return undefined;
    ({ fit } = solved);
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
  const against = smallOfMotion(compose(byHead, invert(byNeck)), centre);
  if (fit === undefined || Math.abs(against[0]) * DEGREES > LARGEST_TWIST) return undefined;
  const [roll, x] = [neck.state[0] + against[0], neck.state[3] + against[3]];
  // The wood leaves roll and shift along x open, and with them what hangs together with them by its taper and tilt: the test is of the rest.
  const held = heldByHead(neck, { fit, roll, x, slackRoll: 0, slackX: 0 }).subarray(0, 6);
  const own = smallOfMotion(compose(byHead, invert(motionOfSmall(held, neck.origin))), centre);
  const carried = Math.abs(neck.state[6]) + Math.abs(slope) * beyond;
  const across = Math.hypot(own[4], Math.max(0, Math.abs(own[5]) - carried));
  const turned = Math.hypot(Math.max(0, Math.abs(own[1]) - Math.abs(slope)), own[2]) * DEGREES;
  if (across > ACROSS * size || turned > TURNED) return undefined;
  // A head that turned by itself moved along x as well, by its height over the place where it did.
  const lever = Math.abs(centre[2] - neck.origin[2]);
  const uX = (Math.max(LEAST_TURN, Math.abs(own[1]) * DEGREES) * lever) / DEGREES / Math.sqrt(3);
  const uRoll = TWIST / DEGREES;
  return { centre, roll, x, uRoll, uX, slackRoll: uRoll ** 2 / errors, slackX: uX ** 2 / errors, variance, fit };
}

/** The neck's state with what its head says of roll and shift along x: both by the weight that the surfaces of either give them, and less of it where the head moved by itself. */
export function heldByHead({ state, fit }: Pick<NeckFit, 'state' | 'fit'>, head: Holding): Float64Array {
  const { roll, x, slackRoll, slackX } = head;
  const [byRoll, byX] = [fit.cofactors(ROLL), fit.cofactors(X)];
  const [ofRoll, ofX] = [head.fit.cofactors(ROLL), head.fit.cofactors(X)];
  const a = byRoll[ROLL] + ofRoll[ROLL] + slackRoll;
  const b = byRoll[X] + ofRoll[X];
  const c = byX[X] + ofX[X] + slackX;
  const determinant = a * c - b * b;
  const [dRoll, dX] = [roll - state[ROLL], x - state[X]];
  const p = (c * dRoll - b * dX) / determinant;
  const q = (a * dX - b * dRoll) / determinant;
  return state.map((v, k) => v + byRoll[k] * p + byX[k] * q);
}

const ROLL = 0;
const X = 3;

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
    if (k === 3) return scatter > OTHER_SHAPE * size ? undefined : { fit, step };
    used = Uint8Array.from(rest, (r) => (Math.abs(r) <= Math.max(CUT * scatter, LEAST_CUT * size) ? 1 : 0));
  }
}
