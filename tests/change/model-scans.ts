import { applyToPoints, compose, invert, type Motion } from '../../src/geometry/motion.ts';
import type { Scan } from '../../src/geometry/scan.ts';
import { random, type Random } from '../../src/numerics/random.ts';
import { sampleField } from '../../src/numerics/random-field.ts';
import { changedInstrument, type InstrumentChange, NO_CHANGE } from '../../src/samples/changed-instrument.ts';
import { buildInstrument, type ModelInstrument, randomSpec } from '../../src/samples/instrument.ts';
import { NO_NECK_CHANGE, type NeckChange, neckMover } from '../../src/samples/neck-change.ts';
import type { Dress } from '../../src/samples/model-instrument.ts';
import { SCAN_DEFAULTS } from '../../src/samples/scan-settings.ts';
import { scanInstrument } from '../../src/samples/scanner.ts';
import { drawingToFrame } from '../../src/samples/truth-frame.ts';
import { makeScan } from '../second-model/make-scan.ts';
import { labelCode } from '../second-model/patch.ts';

/** How a model scan is taken. */
export interface Look {
  readonly draw: string;
  readonly spacing: number;
  readonly sigma: number;
  readonly amplitude: number;
  readonly fittings: 'bare' | 'fitted';
  readonly form: 'mesh' | 'cloud';
}

export const CLEAN: Look = { draw: 'clean', spacing: 0.8, sigma: 0.03, amplitude: 0, fittings: 'bare', form: 'mesh' };
const CORRELATION_LENGTH = 50;

export const neckChange = (neck: Partial<NeckChange>): InstrumentChange => ({ ...NO_CHANGE, neck: { ...NO_NECK_CHANGE, ...neck } });

export const instrumentA = (draw: string): ModelInstrument =>
  buildInstrument(randomSpec('violin', 'modern', random(draw).fork('instrument')));

/** A scan with the true motion from its coordinates (less its origin) into the baseline's instrument frame. */
export interface ModelScanned {
  readonly scan: Scan;
  readonly truth: Motion;
}

/** A scan of the first model after a change. */
export function scanA(instrument: ModelInstrument, change: InstrumentChange, look: Look): ModelScanned {
  const changed = change === NO_CHANGE ? instrument : changedInstrument(instrument, change);
  const dress: Dress = look.fittings;
  const settings = {
    ...SCAN_DEFAULTS,
    spacing: look.spacing,
    sigma: look.sigma,
    correlated: { amplitude: look.amplitude, length: CORRELATION_LENGTH, kernel: 'gaussian' as const },
    fittings: dress,
    kind: look.form,
  };
  const made = scanInstrument(changed, settings, random(look.draw).fork('scan'));
  // A changed neck moves the joint a little; the truth stays with the first state.
  const toFirst = compose(drawingToFrame(instrument), invert(drawingToFrame(changed)));
  return scanned(made.positions, made.triangles, compose(toFirst, Float64Array.from(made.frame.slice(0, 12))));
}

/** A scan of the second model after a change of its neck. */
export function scanB(seed: number, change: NeckChange, look: Look): ModelScanned {
  const fittings = look.fittings === 'fitted' ? 'full' : 'bare';
  const made = makeScan({ seed, quality: 'clean', fittings, form: look.form, spacing: look.spacing, sigma: 0, amplitude: 0, unit: 'mm' });
  const { values, secondary } = made.truth;
  // A board thinned from below has no bed angle: its line rises a degree more than its bed.
  const slope = Math.tan(((secondary['bedAngle'] ?? values['neckAngle'] - 1) * Math.PI) / 180);
  const heelHeight = secondary['heelHeight'];
  const low = values['overstand'] - 15 * slope - heelHeight;
  const contour = contourOf(made.exact, made.labels, low, heelHeight);
  const move = neckMover(change, {
    low,
    height: heelHeight,
    axisX: contour.foot / 2,
    heelX: contour.heelX,
    throatX: contour.heelX - 8,
    boardLine: made.truth.profiles.boardLine,
    neckLength: values['neckLength'],
  });
  const points = made.exact.slice();
  const q = new Float64Array(3);
  for (let i = 0; i < made.labels.length; i++) {
    const kind = WOOD.has(made.labels[i]) ? 'wood' : RIGID.has(made.labels[i]) ? 'rigid' : undefined;
    if (kind === undefined) continue;
    q.set(points.subarray(3 * i, 3 * i + 3));
    move(q, kind);
    points.set(q, 3 * i);
  }
  const stream = random(look.draw).fork(`second ${seed}`);
  const noisy = withNoise(points, made.normals, look, stream);
  const pose = drawMotion(stream.fork('pose'));
  return scanned(applyToPoints(pose, noisy, noisy), made.triangles, invert(pose));
}

const codes = (...names: Parameters<typeof labelCode>[0][]): ReadonlySet<number> => new Set(names.map(labelCode));
const WOOD = codes('neck', 'heel');
const RIGID = codes('board', 'boardSide', 'nut', 'scroll', 'peg', 'rootEnd', 'string');

/** x of the heel's front at its foot and where it passes into the throat. */
function contourOf(points: Float64Array, labels: Uint8Array, low: number, height: number): { foot: number; heelX: number } {
  const frontAt = (share: number): number => {
    let x = 0;
    for (let i = 0; i < labels.length; i++) {
      if (!WOOD.has(labels[i]) || Math.abs(points[3 * i + 1]) > 3) continue;
      if (Math.abs(points[3 * i + 2] - low - share * height) < 0.6 && points[3 * i] > -30) x = Math.min(x, points[3 * i]);
    }
    return x;
  };
  return { foot: frontAt(0.12), heelX: frontAt(0.52) };
}

function withNoise(points: Float64Array, normals: Float64Array, look: Look, stream: Random): Float64Array {
  const white = stream.fork('white');
  const field = sampleField(points, look.amplitude, CORRELATION_LENGTH, stream.fork('field'));
  const out = points.slice();
  for (let i = 0; i < field.length; i++) {
    const e = look.sigma * white.normal() + field[i];
    for (let k = 0; k < 3; k++) out[3 * i + k] += e * normals[3 * i + k];
  }
  return out;
}

function drawMotion(stream: Random): Motion {
  const [a, b] = [stream.uniform() * 6, stream.uniform() * 6];
  const turn = (c: number, s: number): Motion => Float64Array.of(c, -s, 0, 100 * s, s, c, 0, -50, 0, 0, 1, 30 * c);
  const tip = (c: number, s: number): Motion => Float64Array.of(c, 0, s, 20, 0, 1, 0, 0, -s, 0, c, 0);
  return compose(turn(Math.cos(a), Math.sin(a)), invert(tip(Math.cos(b), Math.sin(b))));
}

function scanned(positions: Float64Array, triangles: Uint32Array | undefined, frame: Motion): ModelScanned {
  const n = positions.length / 3;
  const origin: [number, number, number] = [0, 0, 0];
  for (let i = 0; i < positions.length; i++) origin[i % 3] += positions[i] / n;
  const scan: Scan = {
    format: 'ply-binary',
    positions: Float32Array.from(positions, (v, i) => v - origin[i % 3]),
    origin,
    triangles,
    storedPoints: n,
    storedTriangles: (triangles?.length ?? 0) / 3,
    formatUnit: undefined,
    dropped: {},
    warnings: [],
  };
  return { scan, truth: compose(frame, Float64Array.of(1, 0, 0, origin[0], 0, 1, 0, origin[1], 0, 0, 1, origin[2])) };
}

/** The same scan, bass for treble. */
export const mirrorImage = (scan: Scan): Scan => ({
  ...scan,
  positions: scan.positions.map((v, i) => (i % 3 === 1 ? -v : v)),
  triangles: scan.triangles?.map((_, i, all) => all[i % 3 === 0 ? i + 1 : i % 3 === 1 ? i - 1 : i]),
});
