import { recordOf } from '../geometry/record-of.ts';
import type { DatumSamples } from '../frame/datum-samples.ts';
import { type Datums, datums } from '../frame/datums.ts';
import { tailEnd } from '../frame/tail-end.ts';
import { applyToDirections, applyToPoints, identity, type Motion } from '../geometry/motion.ts';
import type { Samples } from '../geometry/samples.ts';
import type { MeasureId } from '../measurands/measurands.ts';
import { evaluateBody } from './body/evaluate-body.ts';
import { deriveNeckLength, deriveSet, deriveStop, type StationRule } from './derive.ts';
import type { EvaluationContext, Gathering, InstrumentClass, PartSamples } from './family.ts';
import { type TopPatch, topHeight } from './top/top-patch.ts';
import { archHeight, type TopCentre } from './top/top-centre.ts';

/** Everything that is fixed about a scan before samples become values. */
export interface EvaluationPlan {
  readonly bodyLength: number;
  readonly size: number;
  readonly instrumentClass: InstrumentClass;
  readonly board: Gathering;
  readonly station: Gathering;
  /** Neck, heel, ribs: run last. */
  readonly others: readonly Gathering[];
  readonly rule: StationRule;
  readonly topAtStation: TopPatch | undefined;
  readonly topAtEnd: TopPatch | undefined;
  readonly topCentre: TopCentre | undefined;
}

export interface Evaluation {
  readonly values: ReadonlyMap<MeasureId, number>;
  readonly shared: ReadonlyMap<string, number>;
  /** Working frame → instrument frame. */
  readonly motion: Motion;
  readonly hasJoint: boolean;
  readonly jointBass: number;
  readonly jointTreble: number;
}

const DATUM_NAMES: readonly (keyof DatumSamples)[] = [
  'crest',
  'crestBass',
  'crestTreble',
  'outlineBass',
  'outlineTreble',
  'besideNeck',
  'besideSaddle',
  'rootBass',
  'rootTreble',
];

/** Datum samples under the names by which they stand among the parts. */
export function datumParts(samples: DatumSamples): PartSamples {
  return Object.fromEntries(DATUM_NAMES.map((k) => [`datum.${k}`, samples[k]]));
}

function datumsOf(parts: PartSamples): DatumSamples {
  return recordOf(DATUM_NAMES, (name) => parts[`datum.${name}`]);
}

/**
 * From samples in the working frame to values, in one pass: datums first, then everything in the exact instrument frame, in an order in which each finds what it needs.
 *
 * @param draws  random inputs of this repetition, by name; empty for the nominal values
 */
export function evaluateAll(plan: EvaluationPlan, parts: PartSamples, draws: ReadonlyMap<string, number>): Evaluation {
  const frame = datums(datumsOf(parts), plan.bodyLength);
  return evaluateInFrame(plan, movedParts(parts, frame.motion), frame, draws);
}

/**
 * From samples that are in an instrument frame already, their own or that of another scan of the same instrument, to values in it.
 *
 * @param frame  the frame's datums; its motion is only handed on
 */
export function evaluateInFrame(plan: EvaluationPlan, moved: PartSamples, frame: Datums, draws: ReadonlyMap<string, number>): Evaluation {
  const context: EvaluationContext = {
    bodyLength: plan.bodyLength,
    size: plan.size,
    instrumentClass: plan.instrumentClass,
    values: new Map(),
    shared: new Map(draws),
  };
  evaluateBody(moved, context);
  const length = frame.hasJoint ? tailEnd(moved['datum.besideSaddle'], identity(), plan.bodyLength) : undefined;
  if (length !== undefined) context.values.set('bodyLength', length);
  plan.board.evaluate(moved, context);
  if (frame.hasJoint) deriveNeckLength(context);
  plan.station.evaluate(moved, context);
  deriveStop(plan.rule, context);
  for (const family of plan.others) family.evaluate(moved, context);
  deriveSet(moved, context, {
    station: (x) => patchHeight(plan.topAtStation, moved['top.station'], plan.size, x),
    end: (x) => patchHeight(plan.topAtEnd, moved['top.end'], plan.size, x),
  });
  if (plan.topCentre !== undefined) {
    const arch = archHeight(plan.topCentre, moved['top.centre'], plan.bodyLength);
    if (Number.isFinite(arch)) context.values.set('archHeight', arch);
  }
  return { values: context.values, shared: context.shared, ...frame };
}

const patchHeight = (patch: TopPatch | undefined, samples: Samples | undefined, size: number, x: number): number =>
  patch === undefined || samples === undefined ? NaN : topHeight(samples, patch, size, x);

/** Samples with positions and normals carried along by a motion without scale. */
export function movedParts(parts: PartSamples, motion: Motion): PartSamples {
  const moved: Record<string, Samples> = {};
  for (const [name, s] of Object.entries(parts)) {
    moved[name] = {
      ...s,
      xyz: applyToPoints(motion, s.xyz, new Float64Array(s.xyz.length)),
      normal: applyToDirections(motion, s.normal, new Float64Array(s.normal.length)),
    };
  }
  return moved;
}
