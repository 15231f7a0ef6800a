import { applyToDirections, applyToPoints } from '../geometry/motion.ts';
import { MM_PER } from '../geometry/scan.ts';
import { random } from '../numerics/random.ts';
import { bridgeStation } from './string-lines.ts';
import { floorOf } from './floor.ts';
import type { ModelInstrument } from './model-instrument.ts';
import { PART } from './part.ts';
import type { ModelScan } from './scanner.ts';
import { bodyTruth } from './truth-body.ts';
import { type BoardTruth, boardTruth, type Values } from './truth-board.ts';
import { bridgeTruth } from './truth-bridge.ts';
import { heelTruth } from './truth-heel.ts';
import { trueFrame } from './truth-frame.ts';
import { type FramedSurface, framedSurface } from './truth-surface.ts';

/** What a scan's record is held against: values by definition, how well each is known, what the scan supports. */
export interface Truth {
  readonly class: string;
  readonly set: string;
  readonly stopSource: string;
  readonly values: Values;
  readonly secondary: Values;
  readonly uTruth: Values;
  readonly byStation: Readonly<Record<string, Values>>;
  readonly measurable: Readonly<Record<string, boolean>>;
  readonly reasons: Readonly<Record<string, string>>;
  readonly warnings: readonly string[];
  readonly profiles: {
    readonly boardLine: { readonly z0: number; readonly slope: number };
    readonly topCentre: readonly (readonly [number, number])[];
  };
}

/** Values of an instrument that no scan changes. */
export interface InstrumentTruth {
  readonly values: Values;
  readonly secondary: Values;
  readonly uTruth: Values;
  readonly byStation: Readonly<Record<string, Values>>;
  readonly warnings: readonly string[];
  readonly profiles: Truth['profiles'];
}

/** Usual neck ÷ stop where no station is known, as measurands.md gives it. */
const USUAL_RATIO = { violin: 2 / 3, viola: 2 / 3, cello: 0.7, bass: 0.74 } as const;
const EARLY_RATIO = 0.645;

/**
 * Standard uncertainty of a truth: what numbers and wording leave open (steps of the dense evaluation, outline beside the neck as drawn or
 * as cut, arc length of crest or outline). mm or degrees.
 */
const U_TRUTH: Readonly<Record<string, number>> = {
  heelLean: 0.02,
  heelBow: 0.003,
  bodyLength: 0.015,
  neckLength: 0.015,
  scoopBass: 0.012,
  scoopTreble: 0.012,
  scoopCentre: 0.002,
  boardRadiusNut: 0.03,
  boardRadiusEnd: 0.03,
  edgeFlatnessRms: 0.001,
  stop: 0.02,
  stopRatio: 0.0002,
  boardTwist: 0.004,
  projection: 0.004,
  boardOffset: 0.004,
  overstandBass: 0.004,
  overstandTreble: 0.004,
  neckAngle: 0.002,
  boardYaw: 0.002,
};
const U_TRUTH_OTHER = 0.003;

export function instrumentTruth(instrument: ModelInstrument): InstrumentTruth {
  const surface = framedSurface(instrument);
  const board = boardTruth(surface);
  const heel = heelTruth(surface);
  const body = bodyTruth(surface);
  const values: Values = { ...body.values, ...board.values, ...heel.values };
  const secondary: Values = { ...body.secondary, ...board.secondary, ...heel.secondary, ...bridgeTruth(surface, board) };
  const stations: Record<string, number> = {
    notches: (body.secondary.stopBass + body.secondary.stopTreble) / 2,
    bridge: surface.bodyPoint(bridgeStation(instrument), 0, 0)[0],
    assumed: values.neckLength / (instrument.spec.set === 'early' ? EARLY_RATIO : USUAL_RATIO[instrument.spec.class]),
  };
  const byStation: Record<string, Values> = {};
  for (const [name, x] of Object.entries(stations)) byStation[name] = stationValues(surface, board, x);
  Object.assign(values, byStation.notches);
  const topCentre: [number, number][] = [];
  const size = body.values.bodyLength;
  for (let x = Math.round(0.2 * size); x < 0.8 * size; x += 1) topCentre.push([x, surface.topAt(x, 0)]);
  const uTruth: Values = {};
  for (const id of [...Object.keys(values), ...Object.keys(secondary)])
    uTruth[id] = (U_TRUTH[id] ?? U_TRUTH_OTHER) * (id === 'stopRatio' || /Angle|Yaw|Lean|Tilt|Twist/.test(id) ? 1 : size / 355);
  return {
    values,
    secondary,
    uTruth,
    byStation,
    warnings: board.warnings,
    profiles: { boardLine: { z0: board.line.z0, slope: board.line.slope }, topCentre },
  };
}

/** What hangs on the bridge station. */
function stationValues(surface: FramedSurface, board: BoardTruth, x: number): Values {
  return {
    stop: x,
    stopRatio: board.values.neckLength / x,
    projection: board.line.z0 + board.line.slope * x - surface.topAt(x, 0),
    boardOffset: board.centre.at0 + board.centre.slope * x,
  };
}

/** What a truth file holds of a scan, beside its name. */
export interface ScanTruth extends Truth {
  readonly unit: string;
  readonly unitScale: number;
  readonly frame: readonly number[];
  readonly noise: Values;
  /** 95th percentile of the plain fit's error, where there is one. */
  readonly floor: Values;
}

/**
 * Truth of one scan: the instrument's values and what this scan supports. Stop and what hangs on it are those of the first station
 * that catalogue or scan give.
 *
 * @param catalogueStop  x of the bridge station that the catalogue states, mm
 */
export function truthOf(instrument: ModelInstrument, scan: ModelScan, catalogueStop?: number): ScanTruth {
  const { values, secondary, uTruth, byStation: shown, warnings, profiles } = instrumentTruth(instrument);
  const byStation = catalogueStop === undefined ? shown : { catalogue: catalogueStation(instrument, catalogueStop), ...shown };
  const { settings } = scan;
  const framed = framedPoints(instrument, scan);
  const verdicts = floorOf(
    {
      ...framed,
      labels: scan.labels,
      noise: {
        sigma: settings.sigma,
        amplitude: settings.correlated.amplitude,
        length: settings.correlated.length,
        kernel: settings.correlated.kernel,
      },
      spacing: Math.max(settings.spacing, settings.thinning.kind === 'even' ? settings.thinning.cell : 0),
      values,
      secondary,
    },
    random('floor'),
  );
  const measurable: Record<string, boolean> = {};
  const reasons: Record<string, string> = {};
  const floor: Values = {};
  for (const [id, v] of Object.entries(verdicts)) {
    measurable[id] = v.supported;
    if (v.reason !== undefined) reasons[id] = v.reason;
    if (v.floor95 !== undefined) floor[id] = v.floor95;
  }
  const stopSource = catalogueStop !== undefined ? 'catalogue' : stationSource(scan, framed.points, secondary, values.bodyLength / 355);
  return {
    class: instrument.spec.class,
    set: instrument.spec.set,
    unit: settings.unit,
    unitScale: MM_PER[settings.unit],
    stopSource,
    values: { ...values, ...byStation[stopSource] },
    secondary: scan.settings.fittings === 'bare' ? withoutBridge(secondary) : secondary,
    uTruth: catalogueStop === undefined ? uTruth : { ...uTruth, stop: 0 },
    byStation: settings.fittings === 'bare' ? withoutBridgeStation(byStation) : byStation,
    measurable,
    reasons,
    warnings,
    frame: scan.frame,
    noise: { sigma: settings.sigma, correlatedAmplitude: settings.correlated.amplitude, correlatedLength: settings.correlated.length },
    floor,
    profiles,
  };
}

function catalogueStation(instrument: ModelInstrument, x: number): Values {
  const surface = framedSurface(instrument);
  return stationValues(surface, boardTruth(surface), x);
}

/** Secondary values that need no bridge. */
function withoutBridge(secondary: Values): Values {
  const { bridgeHeight: _h, bridgeLean: _l, stringLength: _s, stringAngle: _a, ...rest } = secondary;
  return rest;
}

/** Points of a notch's wall that must be seen, and how near the tip, mm × size. */
const NOTCH_POINTS = 8;
const NOTCH_NEAR = 4;

function withoutBridgeStation(byStation: Readonly<Record<string, Values>>): Record<string, Values> {
  return Object.fromEntries(Object.entries(byStation).filter(([name]) => name !== 'bridge'));
}

/** The first station that the scan holds: notches, bridge, or the usual ratio. */
function stationSource(scan: ModelScan, points: Float64Array, secondary: Values, size: number): 'notches' | 'bridge' | 'assumed' {
  const walls = [0, 0];
  let bridge = 0;
  for (let i = 0; i < scan.labels.length; i++) {
    if (scan.labels[i] === PART.bridge) bridge++;
    if (scan.labels[i] !== PART.fWall) continue;
    const treble = points[3 * i + 1] > 0;
    if (Math.abs(points[3 * i] - (treble ? secondary.stopTreble : secondary.stopBass)) < NOTCH_NEAR * size) walls[treble ? 1 : 0]++;
  }
  if (Math.max(...walls) > NOTCH_POINTS) return 'notches';
  return bridge > 200 ? 'bridge' : 'assumed';
}

/** Noise-free points and normals of a scan in the true frame. */
function framedPoints(instrument: ModelInstrument, scan: ModelScan): { points: Float64Array; normals: Float64Array } {
  const { motion } = trueFrame(instrument);
  return {
    points: applyToPoints(motion, scan.clean, new Float64Array(scan.clean.length)),
    normals: applyToDirections(motion, scan.normals, new Float64Array(scan.normals.length)),
  };
}
