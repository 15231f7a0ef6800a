import { type SmallMotionFit, motionOfSmall } from '../fits/small-motion.ts';
import type { Datums } from '../frame/datums.ts';
import { applyToPoint } from '../geometry/motion.ts';
import type { Samples } from '../geometry/samples.ts';
import type { Vec3 } from '../geometry/vec3.ts';
import { MEASURANDS, type MeasureId } from '../measurands/measurands.ts';
import { evaluateInFrame, type Evaluation, type EvaluationPlan, movedParts } from '../measures/evaluate-all.ts';
import type { PartSamples } from '../measures/family.ts';
import type { Cores } from './cores.ts';
import { END_SLOPE, type HeadFit, heldByHead } from './fit-head.ts';
import type { NeckFit } from './fit-neck.ts';
import { type HeelFit, type NeckAbove, NO_WARP_DRAW, type WarpDraw } from './fit-heel.ts';
import type { NeckShape } from './neck-zones.ts';

/** Names under which cores stand among samples. */
export const CORES = { body: 'cores.body', wood: 'cores.wood', heel: 'cores.heel', head: 'cores.head', block: 'cores.block' } as const;
type CoreName = (typeof CORES)[keyof typeof CORES];

/** One of the two scans, in the baseline's instrument frame. */
export interface PairSide {
  readonly plan: EvaluationPlan;
  /** Samples of its parts, and of the cores with this scan's own white noise. */
  readonly parts: PartSamples;
}

/** All that turns two registered scans into changes; everything in the baseline's instrument frame. */
export interface PairModel {
  readonly frame: Datums;
  readonly station: number | undefined;
  readonly baseline: PairSide;
  readonly later: PairSide;
  /** Turns about and shifts the later scan's body. */
  readonly centre: Vec3;
  readonly bodyFit: SmallMotionFit;
  readonly scaleFit: SmallMotionFit;
  /** Distances left at the cores of each kind. */
  readonly distances: Readonly<Record<CoreName, Float64Array>>;
  readonly cores: Readonly<Record<CoreName, Cores>>;
  readonly shape: NeckShape | undefined;
  readonly neck: NeckFit | undefined;
  readonly head: HeadFit | undefined;
  readonly heel: { readonly fit: HeelFit; readonly axis: number } | undefined;
  readonly blockFit: SmallMotionFit | undefined;
}

/** Values of a pair by name: change ids, `neckShift.x` …, `difference.` + measure, `registration.0` … 5, `scale`. */
export type PairValues = ReadonlyMap<string, number>;

const DEGREES = 180 / Math.PI;
const NONE: ReadonlyMap<string, number> = new Map();
/** Measures that have no difference: they are the baseline's by definition. */
const NO_DIFFERENCE: ReadonlySet<MeasureId> = new Set(['stop', 'stopRatio']);

/** What neither scan shows, drawn: how far the body's registration and the heel are off by it. */
export interface Unshown {
  /** Rotation vector, rad, and shift, mm, of the later scan's body. */
  readonly body?: ArrayLike<number>;
  readonly warp?: WarpDraw;
  /** How far the head turned and shifted by itself, in its u. */
  readonly head?: { readonly roll: number; readonly x: number };
}

const HEAD_AS_SEEN = { roll: 0, x: 0 };

/**
 * The changes of a pair from its samples; the nominal ones with the samples as they are. Errors of cores enter to first order: as changed distances.
 *
 * @param baseline  samples of the baseline, perturbed or not, cores included
 * @param later  samples of the later scan likewise
 */
export function pairValues(model: PairModel, baseline: PartSamples, later: PartSamples, unshown: Unshown = {}): PairValues {
  const values = new Map<string, number>();
  const error = (name: CoreName): Float64Array => {
    const [b, l] = [alongNormals(model.baseline.parts[name], baseline[name]), alongNormals(model.later.parts[name], later[name])];
    return l.map((v, i) => v - b[i]);
  };
  // The registration takes up what the body's cores share: the later scan is moved by this.
  const bodyError = error(CORES.body);
  const step = model.bodyFit.solve(bodyError).map((v, k) => (unshown.body?.[k] ?? 0) - v);
  for (let k = 0; k < 6; k++) values.set(`registration.${k}`, step[k]);
  values.set('scale', model.scaleFit.solve(model.distances[CORES.body].map((d, i) => d + bodyError[i]))[6]);
  const carried = (name: CoreName): Float64Array => error(name).map((e, i) => e + alongRow(model.cores[name], i, step, model.centre));
  block(model, carried, values);
  const neck = neckValues(model, carried, values, unshown);
  const correction = motionOfSmall(step, model.centre);
  const first = evaluateInFrame(model.baseline.plan, baseline, model.frame, NONE);
  const second = evaluateInFrame(model.later.plan, movedParts(later, correction), model.frame, NONE);
  for (const { id } of MEASURANDS) {
    const [a, b] = [first.values.get(id), second.values.get(id)];
    if (a !== undefined && b !== undefined && !NO_DIFFERENCE.has(id)) values.set(`difference.${id}`, b - a);
  }
  if (neck !== undefined) splitProjection(model, neck, first, second, values);
  return values;
}

function block(model: PairModel, carried: (name: CoreName) => Float64Array, values: Map<string, number>): void {
  if (model.blockFit === undefined) return;
  const errors = carried(CORES.block);
  const turn = model.blockFit.solve(model.distances[CORES.block].map((d, i) => d + errors[i]));
  values.set('blockRotation', turn[1] * DEGREES);
}

/** State of the neck, and its values. */
function neckValues(
  model: PairModel,
  carried: (name: CoreName) => Float64Array,
  values: Map<string, number>,
  { warp = NO_WARP_DRAW, head: own = HEAD_AS_SEEN }: Unshown,
): Float64Array | undefined {
  const { neck, heel, shape } = model;
  if (neck === undefined || shape === undefined) return undefined;
  const change = neck.fit.solve(carried(CORES.wood));
  const free = neck.state.map((v, k) => v + change[k]);
  const state = model.head === undefined ? free : withHead(free, change, neck, model.head, carried(CORES.head), own);
  values.set('neckRoll', state[0] * DEGREES);
  values.set('neckPitch', state[1] * DEGREES);
  values.set('neckYaw', state[2] * DEGREES);
  for (const [k, axis] of ['x', 'y', 'z'].entries()) values.set(`neckShift.${axis}`, state[3 + k]);
  values.set('neckBend', state[6]);
  if (heel !== undefined && shape.heel !== undefined) {
    const errors = carried(CORES.heel);
    const distance = model.distances[CORES.heel].map((d, i) => d + errors[i]);
    const [root, bend] = heel.fit.solve(distance, neckAbove(state, neck, shape, heel.axis), warp);
    values.set('heelRootRotation', root * DEGREES);
    values.set('heelBend', bend * DEGREES);
  }
  return state;
}

/** The neck's state with what its head knows better than back and sides do. */
function withHead(
  free: Float64Array,
  change: Float64Array,
  neck: NeckFit,
  head: HeadFit,
  errors: Float64Array,
  by: NonNullable<Unshown['head']>,
): Float64Array {
  const [, y, z] = head.centre.map((c, k) => c - neck.origin[k]);
  const own = head.fit.solve(errors);
  const x = head.x + own[3] - (change[1] * z - change[2] * y) + head.uX * by.x;
  return heldByHead({ state: free, fit: neck.fit }, { ...head, roll: head.roll + own[0] + head.uRoll * by.roll, x });
}

/** Sagitta that scans of ordinary quality give a neck that kept its shape, two standard deviations, mm × size: what is less loosens nothing. */
export const NO_WARP = 0.04;

/** What the neck's state says of the top of the heel's axis. */
export function neckAbove(state: ArrayLike<number>, neck: Pick<NeckFit, 'origin' | 'chord'>, shape: NeckShape, axis: number): NeckAbove {
  const heel = shape.heel as NonNullable<NeckShape['heel']>;
  const top: Vec3 = [axis, shape.centre.y0, heel.low + heel.height];
  const moved = applyToPoint(motionOfSmall(state, neck.origin), top);
  const warp = Math.max(0, Math.abs(state[6]) - NO_WARP * shape.size);
  return {
    roll: state[0],
    pitch: state[1],
    yaw: state[2],
    rise: moved[2] - top[2],
    warp,
    endSlope: (END_SLOPE * warp) / neck.chord,
  };
}

/** The difference of projection by what made it: the neck's wood, the rest of the board line, the top. */
function splitProjection(model: PairModel, state: Float64Array, first: Evaluation, second: Evaluation, values: Map<string, number>): void {
  const { station, neck, shape } = model;
  const total = values.get('difference.projection');
  if (station === undefined || total === undefined || neck === undefined || shape === undefined) return;
  const lineAt = (e: Evaluation) => (e.shared.get('boardLine.z0') as number) + (e.shared.get('boardLine.slope') as number) * station;
  const byLine = lineAt(second) - lineAt(first);
  const { z0, slope } = shape.boardLine;
  const motion = motionOfSmall(state, neck.origin);
  const y = shape.centre.y0;
  const [a, b] = [applyToPoint(motion, [0, y, z0]), applyToPoint(motion, [station, y, z0 + slope * station])];
  const carriedZ = a[2] + ((b[2] - a[2]) * (station - a[0])) / (b[0] - a[0]);
  const byNeck = carriedZ - z0 - slope * station;
  values.set('projectionByNeck', byNeck);
  values.set('projectionByBoard', byLine - byNeck);
  values.set('projectionByArch', total - byLine);
}

function alongNormals(at: Samples, moved: Samples): Float64Array {
  const along = new Float64Array(at.count);
  for (let i = 0; i < at.count; i++) for (let k = 3 * i; k < 3 * i + 3; k++) along[i] += (moved.xyz[k] - at.xyz[k]) * at.normal[k];
  return along;
}

/** Displacement of core i along its normal by a small motion. */
function alongRow(cores: Cores, i: number, m: ArrayLike<number>, c: Vec3): number {
  const [x, y, z] = [cores.xyz[3 * i] - c[0], cores.xyz[3 * i + 1] - c[1], cores.xyz[3 * i + 2] - c[2]];
  const n = cores.normal;
  return (
    n[3 * i] * (m[3] + m[1] * z - m[2] * y) + n[3 * i + 1] * (m[4] + m[2] * x - m[0] * z) + n[3 * i + 2] * (m[5] + m[0] * y - m[1] * x)
  );
}

/** Cores as samples with a scan's own white noise. */
export const coreSamples = (cores: Cores, variance: (i: number) => number): Samples => ({
  count: cores.count,
  xyz: cores.xyz,
  normal: cores.normal,
  u: Float64Array.from({ length: cores.count }, (_, i) => Math.sqrt(Math.max(0, variance(i)))),
  weight: cores.area,
});
