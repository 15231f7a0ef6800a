import { random } from '../../../src/numerics/random.ts';
import { applyToDirections, applyToPoints, compose, invert } from '../../../src/geometry/motion.ts';
import { changedInstrument, type InstrumentChange, neckPlaces, NO_CHANGE } from '../../../src/samples/changed-instrument.ts';
import { buildInstrument, randomSpec } from '../../../src/samples/instrument.ts';
import type { ModelInstrument } from '../../../src/samples/model-instrument.ts';
import { NO_NECK_CHANGE } from '../../../src/samples/neck-change.ts';
import { SCAN_DEFAULTS, type ScanSettings } from '../../../src/samples/scan-settings.ts';
import { PART } from '../../../src/samples/part.ts';
import { type ModelScan, scanInstrument } from '../../../src/samples/scanner.ts';
import { boardTruth } from '../../../src/samples/truth-board.ts';
import { trueFrame } from '../../../src/samples/truth-frame.ts';
import { framedSurface } from '../../../src/samples/truth-surface.ts';
import { instrumentTruth } from '../../../src/samples/truth.ts';
import { changeTruth } from '../../../src/samples/truth-change.ts';
import { writePly } from '../../../src/samples/write-ply.ts';
import type { PairChange } from './draw-change.ts';
import type { FloorKind } from './floor-bins.ts';
import type { FloorScan, FloorSite } from './pair-floor.ts';
import { frameInMm, type ModelledPairs } from './pair-model.ts';
import type { PairJob, PairLook } from './pair-plan.ts';

const DEGREE = Math.PI / 180;
/** Violin to which spacings refer, mm. */
const VIOLIN = 355;
/** Pitch on which the sink a degree is measured, radians. */
const TRIAL = 0.1 * DEGREE;

/** Pairs of the project's own model. The same job gives the same bytes. */
export function pairModelA(job: PairJob): ModelledPairs {
  const first = buildInstrument(randomSpec('violin', 'modern', random(`study pair instrument ${job.draw}`)));
  return {
    baseline: () => {
      const scan = scanned(first, job.look, `study baseline scan ${job.look.quality} ${job.draw}`);
      const { bytes, floor } = taken(first, scan);
      return { bytes, floor, frame: frameInMm(scan.frame), site: siteOf(first), bodyLength: trueFrame(first).bodyLength };
    },
    later: ({ change, look, draw }) => {
      const made = changeOf(first, change);
      const later = made === NO_CHANGE ? first : changedInstrument(first, made);
      const scan = scanned(later, look, `${draw} scan`);
      return {
        ...taken(later, scan),
        truth: (station) => {
          const truth = changeTruth(first, made, station);
          // Both states have one drawing: what turns the one's frame into the other's is known by it.
          const toFirst = compose(trueFrame(first).motion, invert(trueFrame(later).motion));
          return { ...truth, frame: compose(truth.registration, compose(toFirst, frameInMm(scan.frame))) };
        },
      };
    },
  };
}

const KIND: Readonly<Record<number, FloorKind>> = {
  [PART.top]: 'body',
  [PART.ribs]: 'body',
  [PART.back]: 'body',
  [PART.neck]: 'neck',
  [PART.heel]: 'heel',
  [PART.playingSurface]: 'board',
};

function taken(instrument: ModelInstrument, scan: ModelScan): { readonly bytes: Uint8Array; readonly floor: FloorScan } {
  const { motion } = trueFrame(instrument);
  const { sigma, correlated } = scan.settings;
  return {
    bytes: writePly(scan, 'binary_little_endian'),
    floor: {
      points: applyToPoints(motion, scan.clean, new Float64Array(scan.clean.length)),
      normals: applyToDirections(motion, scan.normals, new Float64Array(scan.normals.length)),
      kindOf: (i) => KIND[scan.labels[i]],
      noise: { sigma, amplitude: correlated.amplitude, length: correlated.length, correlation: correlated.kernel },
    },
  };
}

function siteOf(first: ModelInstrument): FloorSite {
  const { values } = instrumentTruth(first);
  const { line, centre } = boardTruth(framedSurface(first));
  const { low, height, neckLength } = neckPlaces(first);
  const { notchBass, notchTreble } = first.spec.body.fHoles;
  const cosine = Math.cos((values.neckAngle * Math.PI) / 180);
  return {
    nutX: -neckLength * cosine,
    joint: [0, centre.at0, line.z0],
    slope: line.slope,
    boardEnd: (values.boardLength - neckLength) * cosine,
    station: (notchBass + notchTreble) / 2,
    low,
    height,
  };
}

function scanned(instrument: ModelInstrument, look: PairLook, draw: string): ModelScan {
  const ordinary = look.quality === 'ordinary';
  const settings: ScanSettings = {
    ...SCAN_DEFAULTS,
    sigma: ordinary ? 0.05 : 0.03,
    correlated: { amplitude: ordinary ? 0.02 : 0, length: 50, kernel: 'gaussian' },
    spacing: (look.spacing * instrument.spec.body.outline.length) / VIOLIN,
    view: look.view,
    fittings: look.fittings,
    unit: look.unit,
    kind: look.form,
  };
  return scanInstrument(instrument, settings, random(draw));
}

/** A drawn change in the model's own terms. */
function changeOf(first: ModelInstrument, c: PairChange): InstrumentChange {
  const sink = sinkOf(first, c.sink);
  const { boardStart, boardEnd } = first.neck;
  const { notchBass, notchTreble } = first.spec.body.fHoles;
  // Share of the way from the nut, at the bridge station: planing is straight from nothing at the nut, a bent board's line rises by its end.
  const far = ((notchBass + notchTreble) / 2 - boardStart) / (boardEnd - boardStart);
  const neck = {
    ...NO_NECK_CHANGE,
    root: c.root * DEGREE + sink.root,
    bend: c.bend * DEGREE + sink.bend,
    yaw: c.yaw * DEGREE,
    roll: c.roll * DEGREE,
    shift: [0, c.shift[0], c.shift[1]] as const,
    warp: c.warp,
  };
  const change = { ...NO_CHANGE, neck, block: c.block * DEGREE, swell: c.arch };
  const still = Object.values(neck).every((v) => v === 0 || (Array.isArray(v) && v.every((k) => k === 0)));
  if (c.planed !== 0 || c.bent !== 0) return { ...change, board: { planed: { nut: 0, end: -c.planed / far }, bent: c.bent / far } };
  return still && change.block === 0 && change.swell === 0 ? NO_CHANGE : change;
}

/** Root and bend that lose so much projection. */
function sinkOf(first: ModelInstrument, { projection, byRoot }: PairChange['sink']): { readonly root: number; readonly bend: number } {
  if (projection === 0) return { root: 0, bend: 0 };
  const trial = { root: TRIAL * byRoot, bend: TRIAL * (1 - byRoot) };
  const lost = -changeTruth(first, { ...NO_CHANGE, neck: { ...NO_NECK_CHANGE, ...trial } }).differences['projection'];
  return { root: (trial.root * projection) / lost, bend: (trial.bend * projection) / lost };
}
