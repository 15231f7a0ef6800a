import { SmallMotionFit, motionOfSmall, smallOfMotion } from '../fits/small-motion.ts';
import { compose, invert, type Motion } from '../geometry/motion.ts';
import type { Vec3 } from '../geometry/vec3.ts';
import { mad, median } from '../numerics/statistics.ts';
import type { Cores } from './cores.ts';
import { distancesAt } from './distances.ts';
import { type NeckShape, shareAlong, WOOD_FROM, WOOD_TO } from './neck-zones.ts';
import type { PatchReader } from './patch-reader.ts';

/** What the neck's wood did between two registered scans. */
export interface NeckFit {
  /** Rotation vector, rad, and shift, mm, of the point on the baseline's board line at x = 0; then bend, mm, and further shapes of the warp. */
  readonly state: Float64Array;
  readonly origin: Vec3;
  readonly used: Uint8Array;
  /** White-noise variance of the distances, mm². */
  readonly variance: Float64Array;
  /** Changes of the state for small changes of the distances at the cores. */
  readonly fit: SmallMotionFit;
  /** Chord that the sagitta stands over, mm, and x of its end by the nut. */
  readonly chord: number;
  readonly far: number;
}

/** Reach along the normals, mm × size, round by round: a sink moves the nut by 2 mm, a reset by several. */
const DEPTHS = [8, 5, 3, 2, 1.5, 1.5];
/** Cores whose distance differs from the rest by this many robust deviations are thumb marks, labels, new wood. */
const CUT = 5;
const LEAST_CUT = 0.03;
/** Bend from which on the warp's shape needs more than a parabola, mm × size. */
const PLAIN = 0.08;
/** Rounds in which a bent neck is read again: each leaves a tenth. */
const BENT_ROUNDS = 3;
/** Fewest cores, and the share of the stretch along the neck, in tenths, that they must cover. */
const FEWEST = 60;
const LEAST_TENTHS = 7;
/** Median size of the distances from which on it is other wood, mm × size. */
const OTHER_WOOD = 0.3;
/** Least share of the cores that must be seen and agree. */
const LEAST_SHARE = 0.5;

/**
 * The motion of the neck's wood from the baseline to the later scan, in the baseline's frame: a rigid motion by its back and sides, with the warp beside it that leaves both ends of
 * the stretch where they are, so that pitch and shift are those of the chord.
 *
 * @param motion  later's frame → baseline's, by the body
 * @returns a reason in words where the scans do not show it
 */
export function fitNeck(cores: Cores, later: PatchReader, shape: NeckShape, motion: Motion): NeckFit | string {
  const { size } = shape;
  if (cores.count < FEWEST || tenths(cores, shape) < LEAST_TENTHS) return "too little of the neck's back and sides is seen in the baseline";
  const origin: Vec3 = [0, shape.centre.y0, shape.boardLine.z0];
  const middle: Vec3 = [shape.nutX * (1 - (WOOD_FROM + WOOD_TO) / 2), 0, shape.boardLine.z0];
  let byNeck = motion;
  for (const depth of DEPTHS) {
    const { distance } = distancesAt(cores, later, byNeck, depth * size);
    const used = agreeing(distance, undefined, size);
    if (count(used) < FEWEST) return "too little of the neck's back and sides is seen in the later scan";
    const step = rigid(cores, distance, used, middle, size);
    byNeck = compose(
      motionOfSmall(
        step.map((v) => -v),
        middle,
      ),
      byNeck,
    );
  }
  const last = (DEPTHS.at(-1) as number) * size;
  const { distance, variance } = distancesAt(cores, later, byNeck, last);
  const seen = Float64Array.from(distance).filter((d) => !Number.isNaN(d));
  if (seen.length < Math.max(FEWEST, LEAST_SHARE * cores.count)) return "too little of the neck's back and sides is seen in the later scan";
  if (median(seen.map(Math.abs)) > OTHER_WOOD * size)
    return "the neck's wood has another shape than in the baseline: it was reworked or replaced";
  let best = solveShape(cores, distance, shape, origin, 1);
  if (Math.abs(best.step[6]) > PLAIN * size) {
    best = solveShape(cores, distance, shape, origin, 3);
    // A place on a bent neck is read where the bend has brought it: elsewhere the neck's section is another, or it is the board's side.
    for (let k = 0; k < BENT_ROUNDS; k++) {
      byNeck = compose(
        motionOfSmall(
          best.step.subarray(0, 6).map((v) => -v),
          origin,
        ),
        byNeck,
      );
      const bent = bentCores(cores, best.step.subarray(6), shape);
      const read = distancesAt(bent.cores, later, byNeck, last).distance;
      best = solveShape(
        cores,
        read.map((d, i) => d + bent.along[i]),
        shape,
        origin,
        3,
      );
    }
  }
  // From the baseline to the later scan: what was left, then what brought the later neck back, undone.
  const total = compose(compose(motion, invert(byNeck)), motionOfSmall(best.step, origin));
  const state = Float64Array.from([...smallOfMotion(total, origin), ...best.step.subarray(6)]);
  return {
    state,
    origin,
    used: best.used,
    variance,
    fit: best.fit,
    chord: -shape.nutX * Math.hypot(1, shape.boardLine.slope) * (WOOD_TO - WOOD_FROM),
    far: shape.nutX * (1 - WOOD_FROM),
  };
}

const count = (used: Uint8Array): number => used.reduce((s, v) => s + v, 0);

function tenths(cores: Cores, shape: NeckShape): number {
  const seen = new Uint8Array(10);
  for (let i = 0; i < cores.count; i++) {
    const share = (shareAlong(shape, cores.xyz[3 * i], cores.xyz[3 * i + 2]) - WOOD_FROM) / (WOOD_TO - WOOD_FROM);
    seen[Math.max(0, Math.min(9, Math.floor(10 * share)))] = 1;
  }
  return count(seen);
}

function agreeing(distance: Float64Array, explained: ((i: number) => number) | undefined, size: number): Uint8Array {
  if (explained === undefined) return Uint8Array.from(distance, (d) => (Number.isNaN(d) ? 0 : 1));
  const rest = Float64Array.from(distance, (d, i) => d - explained(i));
  const limit = Math.max(CUT * mad(rest.filter((r) => !Number.isNaN(r))), LEAST_CUT * size);
  return Uint8Array.from(rest, (r) => (Math.abs(r) <= limit ? 1 : 0));
}

const weights = (cores: Cores, used: Uint8Array): Float64Array => cores.area.map((a, i) => (used[i] === 1 ? a : 0));

function rigid(cores: Cores, distance: Float64Array, first: Uint8Array, centre: Vec3, size: number): Float64Array {
  let used = first;
  let step = new Float64Array(6);
  for (let k = 0; k < 3; k++) {
    const fit = new SmallMotionFit(cores.xyz, cores.normal, weights(cores, used), centre);
    step = fit.solve(distance) as Float64Array<ArrayBuffer>;
    used = agreeing(distance, (i) => fit.explained(step, i), size);
  }
  return step;
}

/** Place along the stretch, −1 to 1, and the direction away from the strings, square to the board line, as x and z. */
function alongStretch(shape: NeckShape) {
  const { slope } = shape.boardLine;
  const cosine = 1 / Math.hypot(1, slope);
  const xi = (xyz: Float64Array, i: number): number =>
    (2 * shareAlong(shape, xyz[3 * i], xyz[3 * i + 2]) - WOOD_FROM - WOOD_TO) / (WOOD_TO - WOOD_FROM);
  return { xi, away: [slope * cosine, -cosine] as const };
}

/** The cores where a warp has brought them, and how far that is along their normals, mm. */
function bentCores(cores: Cores, warp: ArrayLike<number>, shape: NeckShape): { readonly cores: Cores; readonly along: Float64Array } {
  const { xi, away } = alongStretch(shape);
  const xyz = cores.xyz.slice();
  const along = new Float64Array(cores.count);
  for (let i = 0; i < cores.count; i++) {
    const t = xi(cores.xyz, i);
    let by = 0;
    for (let k = 0; k < warp.length; k++) by += warp[k] * (1 - t * t) * t ** k;
    xyz[3 * i] += by * away[0];
    xyz[3 * i + 2] += by * away[1];
    along[i] = by * (away[0] * cores.normal[3 * i] + away[1] * cores.normal[3 * i + 2]);
  }
  return { cores: { ...cores, xyz }, along };
}

/** Rigid motion and warp together: (1 − ξ²) ξᵏ downwards, zero at both ends of the stretch. */
function solveShape(cores: Cores, distance: Float64Array, shape: NeckShape, origin: Vec3, terms: 1 | 3) {
  const { xi, away } = alongStretch(shape);
  const columns = Array.from({ length: terms }, (_, k) =>
    Float64Array.from({ length: cores.count }, (_v, i) => {
      const t = xi(cores.xyz, i);
      return (1 - t * t) * t ** k * (away[0] * cores.normal[3 * i] + away[1] * cores.normal[3 * i + 2]);
    }),
  );
  let used = agreeing(distance, undefined, shape.size);
  for (let k = 0; ; k++) {
    const fit = new SmallMotionFit(cores.xyz, cores.normal, weights(cores, used), origin, columns);
    const step = fit.solve(distance);
    if (k === 3) return { fit, step, used };
    used = agreeing(distance, (i) => fit.explained(step, i), shape.size);
  }
}
