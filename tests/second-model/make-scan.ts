import { type Blemishes, blemish, NO_BLEMISHES } from './blemishes.ts';
import { type Body, drawBody } from './body.ts';
import { BODY_UNIT, drawDimensions, type InstrumentClass, type SetKind } from './dimensions.ts';
import {
  type BridgeStand,
  type Clutter,
  bridgePatches,
  chinRestPatches,
  clutterPatches,
  endPinPatches,
  headPatches,
  saddlePatches,
  shoulderRestPatches,
  type StringLine,
  standBridge,
  stretchStrings,
  stringPatches,
  tailpiecePatches,
} from './fittings.ts';
import { floorFit } from './floor-fit.ts';
import { findFrame, type TrueFrame } from './frame.ts';
import { bodyPatches, innerPatches, neckPatches } from './instrument-patches.ts';
import { drawNeck, type Neck } from './neck.ts';
import type { Patch } from './patch.ts';
import { Random } from './random.ts';
import { drawField, type Kernel } from './random-field.ts';
import { look, type Sight, type View } from './scanner.ts';
import { measureTruth } from './truth.ts';
import { truthUncertainty } from './truth-uncertainty.ts';

export type Unit = 'mm' | 'cm' | 'm' | 'in';
export type Quality = 'clean' | 'ordinary' | 'hard';
export type Fittings = 'bare' | 'strung' | 'full';

export interface ScanOptions {
  readonly seed: number;
  readonly class?: InstrumentClass;
  readonly set?: SetKind;
  readonly quality?: Quality;
  readonly fittings?: Fittings;
  readonly view?: View;
  /** white noise along the normal, mm */
  readonly sigma?: number;
  /** RMS of the correlated error, mm; its length, mm; its kernel */
  readonly amplitude?: number;
  readonly length?: number;
  readonly kernel?: Kernel;
  /** mm between points */
  readonly spacing?: number;
  readonly unit?: Unit;
  readonly form?: 'mesh' | 'cloud';
  /** of the top's outline, mm: fractional sizes */
  readonly bodyLength?: number;
  readonly clutter?: Clutter | 'none';
  /** distance of the scan from its origin, mm */
  readonly farOffset?: number;
  /** stop as a catalogue gives it, mm from the joint; 'true' gives the notches' rounded to 0.5 mm */
  readonly stop?: 'none' | 'true' | number;
  readonly blemishes?: Partial<Blemishes>;
  readonly traits?: Partial<Traits>;
}

/** what is unusual about the instrument */
export interface Traits {
  readonly unevenness: number;
  readonly warp: number;
  readonly bump: number;
  readonly yaw: number;
  readonly roll: number;
  readonly twist: number;
  readonly hump: number;
  readonly flare: 'yes' | 'no';
  readonly thinned: 'yes' | 'no';
  readonly facet: 'yes' | 'no';
  readonly fillet: 'yes' | 'no';
}

export interface MadeScan {
  readonly positions: Float64Array;
  readonly triangles?: Uint32Array;
  readonly labels: Uint8Array;
  /** points without error, and outward normals, in the frame of the instrument (mm) */
  readonly exact: Float64Array;
  readonly normals: Float64Array;
  readonly truth: Truth;
}

export interface Truth {
  scan: string | null;
  class: InstrumentClass;
  set: SetKind;
  unit: Unit;
  series: null;
  epoch: null;
  note: string | null;
  stopSource: string;
  values: Record<string, number>;
  secondary: Record<string, number>;
  uTruth: Record<string, number>;
  byStation: Record<string, Record<string, number>>;
  measurable: Record<string, boolean>;
  reasons: Record<string, string>;
  /** 95th percentile of the error of plain fits to the known parts under this scan's noise */
  floor: Record<string, number>;
  frame: number[];
  unitScale: number;
  warnings: string[];
  noise: { sigma: number; correlatedAmplitude: number; correlationLength: number; kernel: Kernel };
  profiles: { boardLine: { z0: number; slope: number }; topCentre: (readonly [number, number])[] };
  alternatives: Record<string, never>;
  view: View;
  givenStop: number | null;
}

export const UNIT_MM: Record<Unit, number> = { mm: 1, cm: 10, m: 1000, in: 25.4 };

/** What stays the same from scan to scan. */
export interface Instrument {
  readonly body: Body;
  readonly neck: Neck;
  readonly kind: InstrumentClass;
  readonly set: SetKind;
  /** number from which nut, pegbox and scroll are drawn */
  readonly head: number;
}

/** The instrument of these options and the stream from which its fittings are drawn; `random` goes on with the scan. */
export function drawInstrument(options: ScanOptions, random: Random): { readonly instrument: Instrument; readonly fitRandom: Random } {
  const kind = options.class ?? 'violin';
  const set = options.set ?? 'modern';
  const quality = options.quality ?? 'ordinary';
  const drawn = drawTraits(kind, set, quality, random.fork());
  const t: Traits = { ...drawn, ...options.traits };
  const dims = drawDimensions(kind, set, options.bodyLength, random.fork());
  const body = drawBody(dims, kind, t, random.fork());
  const neck = drawNeck(
    body,
    {
      set,
      kind,
      yaw: t.yaw,
      roll: t.roll,
      twist: t.twist,
      hump: t.hump,
      flare: t.flare === 'yes',
      thinned: t.thinned === 'yes',
      facet: t.facet === 'yes',
      fillet: t.fillet === 'yes',
    },
    random.fork(),
  );
  const fitRandom = random.fork();
  return { instrument: { body, neck, kind, set, head: fitRandom.number() }, fitRandom };
}

/** What the scanner made of an instrument. */
export interface Capture {
  readonly positions: Float64Array;
  readonly triangles?: Uint32Array;
  /** points without error and outward normals in the frame, with labels */
  readonly exact: Sight;
  readonly unit: Unit;
  readonly pose: Pose;
  readonly noise: { sigma: number; amplitude: number; length: number; kernel: Kernel; spacing: number };
  readonly bridge: BridgeStand | undefined;
  readonly strings: readonly StringLine[] | undefined;
}

/** Fits the instrument out, looks at it and adds the scanner's errors; a frame may be given that is not the instrument's own. */
export function capture(
  instrument: Instrument,
  frame: TrueFrame,
  options: ScanOptions,
  random: Random,
  fitRandom: Random,
  pegs?: Random,
): Capture {
  const { body, neck, kind, set } = instrument;
  const quality = options.quality ?? 'ordinary';
  const spacing = options.spacing ?? 0.5 * (body.dims.body / BODY_UNIT);
  const fittings = options.fittings ?? (quality === 'clean' ? 'bare' : 'full');
  const view = options.view ?? 'whole';
  const patches: Patch[] = [...bodyPatches(body, neck, spacing), ...neckPatches(body, neck, spacing), ...saddlePatches(body, spacing)];
  const withPegs = fittings === 'bare' && fitRandom.chance(0.5) ? 'without' : 'with';
  patches.push(...headPatches(neck, spacing, new Random(instrument.head), withPegs, 'with', pegs));
  const bridge = fittings === 'bare' ? undefined : standBridge(body, neck, fitRandom.fork());
  let strings: ReturnType<typeof stretchStrings> | undefined;
  if (bridge) {
    const tail = tailpiecePatches(body, bridge, spacing, fitRandom.fork());
    strings = stretchStrings(body, neck, bridge, tail.head);
    patches.push(
      ...tail.patches,
      ...bridgePatches(body, bridge, spacing),
      ...stringPatches(strings, spacing),
      ...endPinPatches(body, spacing),
    );
    const shoulder = kind === 'violin' || kind === 'viola';
    if (fittings === 'full' && shoulder) {
      if (set === 'modern' && fitRandom.chance(0.8)) patches.push(...chinRestPatches(body, spacing, fitRandom.fork()));
      if (set === 'modern' && fitRandom.chance(0.4)) patches.push(...shoulderRestPatches(body, spacing));
    }
  } else if (fitRandom.chance(0.5)) patches.push(...endPinPatches(body, spacing));
  if (view === 'inside') patches.push(...innerPatches(body, spacing));
  const clutter =
    options.clutter ?? (quality === 'hard' && random.chance(0.5) ? random.pick(['table', 'cradle', 'object'] as const) : 'none');
  if (clutter !== 'none') patches.push(...clutterPatches(body, clutter, spacing, random.fork()));

  const form = options.form ?? (random.chance(0.5) ? 'mesh' : 'cloud');
  const blemishes: Blemishes = { ...NO_BLEMISHES, ...(quality === 'hard' ? drawBlemishes(form, random.fork()) : {}), ...options.blemishes };
  const seen = blemish(look(patches, body, view, spacing, random.fork()), blemishes, body.scale, random.fork());

  const sigma = options.sigma ?? { clean: 0.03, ordinary: 0.05, hard: 0.08 }[quality];
  const amplitude = options.amplitude ?? { clean: 0, ordinary: 0.02, hard: 0.04 }[quality];
  const length = options.length ?? 50;
  const kernel = options.kernel ?? 'gaussian';
  const exact = inFrame(seen, frame);
  const unit = options.unit ?? random.pick(['mm', 'mm', 'cm', 'm', 'in'] as const);
  const pose = drawPose(random.fork(), options.farOffset ?? 0, body.dims.body);
  const positions = disturb(exact, sigma, drawField(amplitude, length, kernel, random.fork()), random.fork(), pose, UNIT_MM[unit]);
  const made = { positions, exact, unit, pose, noise: { sigma, amplitude, length, kernel, spacing }, bridge, strings };
  return form === 'mesh' ? { ...made, triangles: seen.triangles } : made;
}

/** A scan of one instrument of the second model, with its truth; the same options give the same scan. */
export function makeScan(options: ScanOptions): MadeScan {
  return scanAndInstrument(options).scan;
}

/** The same scan, and the instrument as it was fitted out for it. */
export function scanAndInstrument(options: ScanOptions): {
  readonly scan: MadeScan;
  readonly instrument: Instrument;
  readonly frame: TrueFrame;
  readonly bridge: BridgeStand | undefined;
  readonly strings: readonly StringLine[] | undefined;
} {
  const random = new Random(options.seed);
  const { instrument, fitRandom } = drawInstrument(options, random);
  const { body, neck, kind, set } = instrument;
  const frame = findFrame(body, neck);
  const made = capture(instrument, frame, options, random, fitRandom);
  const { exact, unit } = made;
  const stop = options.stop ?? 'none';
  const given = stop === 'none' ? undefined : stop === 'true' ? roundedStop(body, frame) : stop;
  const measured = measureTruth(body, neck, frame, kind, set, made.bridge, made.strings, given);
  const floor = floorFit(exact, exact.labels, measured, frame, made.noise, random.fork());
  const u = truthUncertainty(measured.values, body.scale);
  const truth: Truth = {
    scan: null,
    class: kind,
    set,
    unit,
    series: null,
    epoch: null,
    note: 'made by the second model: an invented instrument',
    stopSource: measured.stopSource,
    values: measured.values,
    secondary: measured.secondary,
    uTruth: u,
    byStation: measured.byStation,
    measurable: floor.measurable,
    reasons: floor.reasons,
    floor: floor.floor,
    frame: made.pose.back(UNIT_MM[unit]),
    unitScale: UNIT_MM[unit],
    warnings: measured.warnings,
    noise: {
      sigma: made.noise.sigma,
      correlatedAmplitude: made.noise.amplitude,
      correlationLength: made.noise.length,
      kernel: made.noise.kernel,
    },
    profiles: { boardLine: measured.boardLine, topCentre: [...measured.topCentre] },
    alternatives: {},
    view: options.view ?? 'whole',
    givenStop: given ?? null,
  };
  const result = { positions: made.positions, labels: exact.labels, exact: exact.points, normals: exact.normals, truth };
  const scan = made.triangles ? { ...result, triangles: made.triangles } : result;
  return { scan, instrument, frame, bridge: made.bridge, strings: made.strings };
}

function drawTraits(kind: InstrumentClass, set: SetKind, quality: Quality, random: Random): Traits {
  const hard = quality === 'hard';
  const yes = (p: number): 'yes' | 'no' => (random.chance(p) ? 'yes' : 'no');
  return {
    unevenness: hard ? random.between(1, 3) : random.between(0.5, 1.5),
    warp: hard ? random.between(0.1, 0.5) : random.between(0.03, 0.15),
    bump: hard ? random.between(-0.8, 0.6) : 0.15 * random.normal(),
    yaw: (hard ? 0.5 : 0.2) * random.normal(),
    roll: (hard ? 0.7 : 0.3) * random.normal(),
    twist: (hard ? 0.5 : 0.15) * random.normal(),
    hump: hard && random.chance(0.2) ? random.between(0.15, 0.5) : 0,
    flare: yes(set === 'early' ? 0.35 : 0.05),
    thinned: yes(set === 'early' ? 0.4 : 0.03),
    facet: yes(kind === 'cello' || kind === 'bass' ? 0.4 : 0.05),
    fillet: yes(0.5),
  };
}

function drawBlemishes(form: 'mesh' | 'cloud', random: Random): Blemishes {
  return {
    holes: Math.floor(random.between(0, 8)),
    outliers: form === 'cloud' ? random.between(0, 0.004) : 0,
    clusters: form === 'cloud' ? Math.floor(random.between(0, 4)) : 0,
    thinning: form === 'cloud' ? random.between(0, 0.7) : 0,
    webbing: random.chance(0.6) ? 'some' : 'none',
  };
}

function roundedStop(body: Body, frame: TrueFrame): number {
  const p = new Float64Array(3);
  const x = body.notches.map(([X, Y]) => {
    frame.to(X, Y, body.top(X, Y, body.distance(X, Y)), p);
    return p[0];
  });
  return Math.round(x[0] + x[1]) / 2;
}

function inFrame(sight: Sight, frame: TrueFrame): Sight {
  const points = new Float64Array(sight.points.length);
  const normals = new Float64Array(sight.points.length);
  const p = new Float64Array(3);
  const [x, y, z] = frame.axes;
  for (let i = 0; i < points.length; i += 3) {
    frame.to(sight.points[i], sight.points[i + 1], sight.points[i + 2], p);
    points.set(p, i);
    const a = sight.normals[i];
    const b = sight.normals[i + 1];
    const c = sight.normals[i + 2];
    normals[i] = x[0] * a + x[1] * b + x[2] * c;
    normals[i + 1] = y[0] * a + y[1] * b + y[2] * c;
    normals[i + 2] = z[0] * a + z[1] * b + z[2] * c;
  }
  return { points, normals, labels: sight.labels, triangles: sight.triangles };
}

export interface Pose {
  /** rotation rows: instrument to scan */
  readonly r: readonly number[];
  readonly t: readonly number[];
  /** rows of the 4 × 4 matrix that takes scan units to instrument mm */
  back(unit: number): number[];
}

function drawPose(random: Random, far: number, size: number): Pose {
  const q = [random.normal(), random.normal(), random.normal(), random.normal()];
  const n = Math.hypot(q[0], q[1], q[2], q[3]);
  const [w, x, y, z] = q.map((v) => v / n);
  const r = [
    1 - 2 * (y * y + z * z),
    2 * (x * y - w * z),
    2 * (x * z + w * y),
    2 * (x * y + w * z),
    1 - 2 * (x * x + z * z),
    2 * (y * z - w * x),
    2 * (x * z - w * y),
    2 * (y * z + w * x),
    1 - 2 * (x * x + y * y),
  ];
  const t = [0, 1, 2].map(() => size * (2 * random.next() - 1) + (far > 0 ? far * (random.chance(0.5) ? 1 : -1) : 0));
  const back = (unit: number): number[] => {
    const m: number[] = [];
    for (let i = 0; i < 3; i++) {
      for (let j = 0; j < 3; j++) m.push(r[j * 3 + i] * unit);
      m.push(-(r[i] * t[0] + r[3 + i] * t[1] + r[6 + i] * t[2]));
    }
    return [...m, 0, 0, 0, 1];
  };
  return { r, t, back };
}

function disturb(
  sight: Sight,
  sigma: number,
  field: (x: number, y: number, z: number) => number,
  random: Random,
  pose: Pose,
  unit: number,
): Float64Array {
  const out = new Float64Array(sight.points.length);
  const { r, t } = pose;
  for (let i = 0; i < out.length; i += 3) {
    const x = sight.points[i];
    const y = sight.points[i + 1];
    const z = sight.points[i + 2];
    const e = sigma * random.normal() + field(x, y, z);
    const a = x + e * sight.normals[i];
    const b = y + e * sight.normals[i + 1];
    const c = z + e * sight.normals[i + 2];
    out[i] = (r[0] * a + r[1] * b + r[2] * c + t[0]) / unit;
    out[i + 1] = (r[3] * a + r[4] * b + r[5] * c + t[1]) / unit;
    out[i + 2] = (r[6] * a + r[7] * b + r[8] * c + t[2]) / unit;
  }
  return out;
}
