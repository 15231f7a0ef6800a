import { describe, expect, test } from 'vitest';
import { cloudFromScan } from '../../src/cloud/cloud-from-scan.ts';
import { MM_PER, type Scan } from '../../src/geometry/scan.ts';
import { random } from '../../src/numerics/random.ts';
import { buildInstrument, type InstrumentSpec, type ModelClass, randomSpec } from '../../src/samples/instrument.ts';
import { SCAN_DEFAULTS, type ScanSettings } from '../../src/samples/scan-settings.ts';
import { scanInstrument } from '../../src/samples/scanner.ts';
import { findInstrument, type FoundInstrument } from '../../src/segmentation/find-instrument.ts';
import { proportions } from '../../src/segmentation/proportions.ts';
import { unitAndClass } from '../../src/segmentation/unit-and-class.ts';
import { makeScan, type ScanOptions } from '../second-model/make-scan.ts';

/** Spacing of the scans, mm on a violin: the search looks at cells of 3 mm. */
const SPACING = 5;

interface KnownScan {
  readonly scan: Scan;
  /** Scan coordinates → instrument frame, mm: row-major 4 × 4. */
  readonly frame: readonly number[];
  readonly mm: number;
}

function known(positions: Float64Array, triangles: Uint32Array | undefined, frame: readonly number[], mm: number): KnownScan {
  const origin = [0, 1, 2].map((k) => positions[k]) as [number, number, number];
  const narrowed = Float32Array.from(positions, (v, i) => v - origin[i % 3]);
  const scan: Scan = {
    format: 'ply-ascii',
    positions: narrowed,
    origin,
    triangles,
    storedPoints: positions.length / 3,
    storedTriangles: 0,
    formatUnit: undefined,
    dropped: {},
    warnings: [],
  };
  return { scan, frame, mm };
}

function first(
  modelClass: ModelClass,
  settings: Partial<ScanSettings>,
  change = (spec: InstrumentSpec): InstrumentSpec => spec,
): KnownScan {
  const chance = random(`find ${modelClass} ${JSON.stringify(settings)}`);
  const spec = change(randomSpec(modelClass, 'modern', chance.fork('instrument')));
  const full: ScanSettings = { ...SCAN_DEFAULTS, fittings: 'strung', ...settings, spacing: (SPACING * spec.body.outline.length) / 355 };
  const made = scanInstrument(buildInstrument(spec), full, chance.fork('scan'));
  return known(made.positions, made.triangles, made.frame, MM_PER[full.unit]);
}

function second(options: ScanOptions): KnownScan {
  const length = { violin: 355, viola: 408, cello: 756, bass: 1110 }[options.class ?? 'violin'];
  const made = makeScan({ ...options, spacing: (SPACING * length) / 355 });
  return known(made.positions, made.triangles, made.truth.frame, MM_PER[made.truth.unit]);
}

/** Rotation between the found and the true frame, degrees, and how far the true origin lies from the found one, shares of body length. */
function expectFound({ scan, frame, mm }: KnownScan): FoundInstrument {
  const found = findInstrument(cloudFromScan(scan), random('find'));
  const m = found.motion;
  const scaled = (i: number, k: number) => frame[4 * i + k] / mm;
  let trace = 0;
  for (let i = 0; i < 3; i++) for (let k = 0; k < 3; k++) trace += m[4 * i + k] * scaled(i, k);
  expect((Math.acos(Math.min(1, (trace - 1) / 2)) * 180) / Math.PI).toBeLessThan(2 /* degrees: what the datums start from */);
  const at = [0, 1, 2].map((k) => -(frame[k] * frame[3] + frame[4 + k] * frame[7] + frame[8 + k] * frame[11]) / mm ** 2 - scan.origin[k]);
  const origin = [0, 1, 2].map((i) => m[4 * i] * at[0] + m[4 * i + 1] * at[1] + m[4 * i + 2] * at[2] + m[4 * i + 3]);
  expect(Math.hypot(...origin) / found.bodyLength).toBeLessThan(0.05 /* of the length: what the datums take out */);
  return found;
}

describe('first model', () => {
  test.each<readonly [string, ModelClass, Partial<ScanSettings>]>([
    ['bare', 'violin', { fittings: 'bare' }],
    ['fully fitted, as a cloud', 'violin', { fittings: 'full', kind: 'cloud' }],
    ['on a stand', 'violin', { stand: 'stand' }],
    ['in a cradle', 'violin', { stand: 'cradle' }],
    ['on a table', 'violin', { stand: 'table', view: 'no-back' }],
    ['two shells', 'violin', { shells: 'front-and-back' }],
    ['inner surfaces', 'violin', { inner: 'shown' }],
    ['holes', 'violin', { holes: { count: 30, radius: 15 } }],
    ['webbing', 'violin', { webbing: 5 }],
    ['front only', 'violin', { view: 'front' }],
    ['top half only', 'violin', { view: 'top-half' }],
    ['no scroll', 'violin', { view: 'no-scroll' }],
    ['no back', 'cello', { view: 'no-back' }],
    ['far from the origin', 'violin', { pose: 'far', unit: 'm' }],
  ])('%s: frame right, signs included', (_, modelClass, settings) => {
    expectFound(first(modelClass, settings));
  });

  test('an asymmetrical, twisted body', () => {
    const worn = { bend: 4, sway: 3, skew: 6, lopsided: 6, twist: 2, bow: 2 };
    expectFound(first('violin', {}, (spec) => ({ ...spec, body: { ...spec.body, distortion: { ...spec.body.distortion, ...worn } } })));
  });

  test('a neck that is yawed and rolled', () => {
    expectFound(first('violin', {}, (spec) => ({ ...spec, neck: { ...spec.neck, yaw: 0.035, roll: 0.07 } })));
  });

  test.each<readonly [ModelClass, ScanSettings['unit']]>([
    ['violin', 'cm'],
    ['viola', 'm'],
    ['cello', 'in'],
    ['bass', 'mm'],
  ])('unit and class of a %s in %s', (modelClass, unit) => {
    const found = expectFound(first(modelClass, { unit }));
    expect(unitAndClass(found.bodyLength, proportions(found), {})).toEqual({ unit, instrumentClass: modelClass });
  });

  test('a lower half without neck is refused, not guessed', () => {
    expect(() => findInstrument(cloudFromScan(first('violin', { view: 'bottom-half', fittings: 'bare' }).scan), random('find'))).toThrow(
      expect.objectContaining({ code: 'no-instrument' }),
    );
  });

  test('points in another order give the same frame', () => {
    const { scan, frame, mm } = first('violin', { kind: 'cloud' });
    const n = scan.positions.length / 3;
    const chance = random('order');
    const order = Array.from({ length: n }, (_, i) => [chance.uniform(), i] as const).sort((a, b) => a[0] - b[0]);
    const positions = Float32Array.from(
      order.flatMap(([, i]) => [scan.positions[3 * i], scan.positions[3 * i + 1], scan.positions[3 * i + 2]]),
    );
    const shuffled = expectFound({ scan: { ...scan, positions }, frame, mm });
    const plain = expectFound({ scan, frame, mm });
    expect(shuffled.bodyLength / plain.bodyLength).toBeCloseTo(1, 2);
  });

  test('twice the same scan, twice the same frame', () => {
    const { scan } = first('violin', {});
    const [a, b] = [1, 2].map(() => findInstrument(cloudFromScan(scan), random('find')));
    expect(Array.from(a.motion)).toEqual(Array.from(b.motion));
  });
});

describe('second model', () => {
  test.each<readonly [string, ScanOptions]>([
    ['bare', { seed: 1, fittings: 'bare' }],
    ['early set', { seed: 2, set: 'early', fittings: 'bare' }],
    ['a table', { seed: 3, clutter: 'table' }],
    ['a cradle', { seed: 4, clutter: 'cradle' }],
    ['a second object', { seed: 5, clutter: 'object' }],
    ['front only', { seed: 6, view: 'front' }],
    ['inner surfaces', { seed: 7, view: 'inside', fittings: 'bare' }],
    ['a damaged scan', { seed: 8, quality: 'hard', clutter: 'none' }],
    ['a bass', { seed: 9, class: 'bass', fittings: 'strung' }],
  ])('%s: frame right, signs included', (_, options) => {
    expectFound(second(options));
  });
});
