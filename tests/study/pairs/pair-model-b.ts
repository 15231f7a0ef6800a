import { NO_CHANGE, type Change } from '../../second-model/change.ts';
import { makePair, type ScanPair } from '../../second-model/make-pair.ts';
import type { MadeScan, ScanOptions } from '../../second-model/make-scan.ts';
import { type Label, labelCode } from '../../second-model/patch.ts';
import { scanBytes } from '../../second-model/scan-files.ts';
import type { PairChange } from './draw-change.ts';
import type { FloorKind } from './floor-bins.ts';
import type { FloorScan, FloorSite } from './pair-floor.ts';
import { frameInMm, type ModelledPairs } from './pair-model.ts';
import type { PairJob, PairLook } from './pair-plan.ts';

const DEGREE = Math.PI / 180;
/** Pitch on which the sink a degree is measured, degrees. */
const TRIAL = 0.1;

const VIEW: Readonly<Record<PairLook['view'], NonNullable<ScanOptions['view']>>> = {
  whole: 'whole',
  front: 'front',
  'no-back': 'noBack',
  'no-scroll': 'noScroll',
};

/** Pairs of the second model. The same job gives the same bytes. */
export function pairModelB(job: PairJob): ModelledPairs {
  const made = makePair({ seed: job.draw, class: 'violin', set: 'modern', ...looked(job.look) });
  return {
    baseline: () => {
      const { baseline } = made;
      const { positions, triangles, truth } = baseline;
      return {
        bytes: scanBytes('ply', positions, triangles),
        frame: frameInMm(truth.frame),
        floor: floorOf(baseline, job.look),
        site: siteOf(baseline),
        bodyLength: truth.values['bodyLength'] as number,
      };
    },
    later: ({ change, look, draw }) => {
      const later = made.later(changeOf(made, change), { seed: seedOf(draw), ...looked(look) });
      return {
        bytes: scanBytes('ply', later.positions, later.triangles),
        floor: floorOf(later, look),
        truth: (station) => ({ ...later.truth(station), frame: frameInMm(later.frame) }),
      };
    },
  };
}

function looked(look: PairLook): Omit<ScanOptions, 'seed'> {
  const ordinary = look.quality === 'ordinary';
  return {
    quality: look.quality,
    sigma: ordinary ? 0.05 : 0.03,
    amplitude: ordinary ? 0.02 : 0,
    length: 50,
    kernel: 'gaussian',
    spacing: look.spacing,
    view: VIEW[look.view],
    fittings: look.fittings === 'fitted' ? 'full' : look.fittings,
    unit: look.unit,
    form: look.form,
  };
}

/** FNV-1a of the words that a draw is known by. */
function seedOf(draw: string): number {
  let hash = 0x811c9dc5;
  for (let i = 0; i < draw.length; i++) hash = Math.imul(hash ^ draw.charCodeAt(i), 0x01000193);
  return hash >>> 0;
}

const KIND: Partial<Record<Label, FloorKind>> = { top: 'body', rib: 'body', back: 'body', neck: 'neck', heel: 'heel', board: 'board' };
const KIND_OF_CODE = new Map(Object.entries(KIND).map(([label, kind]) => [labelCode(label as Label), kind]));

function floorOf(
  scan: { readonly exact: Float64Array; readonly normals: Float64Array; readonly labels: Uint8Array },
  look: PairLook,
): FloorScan {
  const { sigma = 0, amplitude = 0, length = 1 } = looked(look);
  return {
    points: scan.exact,
    normals: scan.normals,
    kindOf: (i) => KIND_OF_CODE.get(scan.labels[i] as number),
    noise: { sigma, amplitude, length, correlation: 'gaussian' },
  };
}

function siteOf({ truth }: MadeScan): FloorSite {
  const of = (id: string): number => (truth.values[id] ?? truth.secondary[id]) as number;
  const cosine = Math.cos(of('neckAngle') * DEGREE);
  const { z0, slope } = truth.profiles.boardLine;
  const height = of('heelHeight');
  const yaw = Math.tan(of('boardYaw') * DEGREE);
  return {
    nutX: -of('neckLength') * cosine,
    joint: [0, of('boardOffset') - yaw * of('stop'), z0],
    slope,
    boardEnd: (of('boardLength') - of('neckLength')) * cosine,
    station: of('stop'),
    // The heel's height ends at the lower arrises, some 14 mm towards the scroll.
    low: of('overstand') - 14 * Math.tan((of('bedAngle') || of('neckAngle') - 1) * DEGREE) - height,
    height,
  };
}

/** A drawn change in the model's own terms. */
function changeOf(made: ScanPair, { sink, ...change }: PairChange): Change {
  if (sink.projection === 0) return change;
  const trial = { root: TRIAL * sink.byRoot, bend: TRIAL * (1 - sink.byRoot) };
  // The truth hangs on the surfaces alone: the scan that comes with it is as coarse as can be.
  const { differences } = made.later({ ...NO_CHANGE, ...trial }, { seed: 1, spacing: COARSE }).truth();
  const scale = sink.projection / -(differences['projection'] as number);
  return { ...NO_CHANGE, root: trial.root * scale, bend: trial.bend * scale };
}

/** mm between the points of a scan of which only the truth is looked at. */
const COARSE = 4;
