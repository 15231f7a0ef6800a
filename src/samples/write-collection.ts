import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { Unit } from '../geometry/scan.ts';
import { type Random, random } from '../numerics/random.ts';
import { buildInstrument, randomSpec } from './instrument.ts';
import type { ModelClass, ModelSet } from './model-instrument.ts';
import { SCAN_DEFAULTS, type ScanSettings } from './scan-settings.ts';
import { writeEntry } from './write-entry.ts';
import type { ScanFormat } from './write-scan.ts';

/** `clean` and `ordinary` are those of the accuracy study; `hard` adds all that real scans bring. */
export type Quality = 'clean' | 'ordinary' | 'hard';

export interface CollectionOptions {
  /** How many scans. */
  readonly count?: number;
  /** The same number gives the same collection. */
  readonly seed?: number;
  readonly class?: ModelClass | 'mixed';
  readonly set?: ModelSet | 'mixed';
  readonly quality?: Quality;
  /** Distance of neighbouring points on a violin, mm; grows with the instrument. */
  readonly spacing?: number;
  /** One format for all, or one after the other. */
  readonly format?: ScanFormat | 'varied';
  readonly onScan?: (done: number, count: number, file: string) => void;
}

export const COLLECTION_DEFAULTS = {
  count: 12,
  seed: 1,
  class: 'violin',
  set: 'modern',
  quality: 'ordinary',
  spacing: 0.5,
  format: 'ply-little-endian',
  onScan: () => {},
} as const satisfies Required<CollectionOptions>;

const CLASSES: readonly ModelClass[] = ['violin', 'viola', 'cello', 'violin', 'bass'];
const FORMATS: readonly ScanFormat[] = [
  'ply-little-endian',
  'stl-binary',
  'pcd-binary',
  'obj',
  'ply-big-endian',
  'xyz',
  'ply-ascii',
  'stl-ascii',
  'pcd-ascii',
];
const CLOUDS: ReadonlySet<ScanFormat> = new Set(['pcd-binary', 'pcd-ascii', 'xyz']);
const UNITS: readonly Unit[] = ['mm', 'mm', 'm', 'in', 'cm'];
/** Violin to which spacings refer, mm. */
const VIOLIN = 355;

/** Writes invented scans, their truth and a catalogue (class, unit and stop left blank) into `dir`. Equal options give equal bytes. */
export async function writeCollection(dir: string, options: CollectionOptions = {}): Promise<void> {
  const o = { ...COLLECTION_DEFAULTS, ...options };
  await mkdir(dir, { recursive: true });
  const rows = ['instrument,scan,class,unit,stop'];
  for (let i = 0; i < o.count; i++) {
    const stream = random(`${o.seed}-${i}`);
    const modelClass = o.class === 'mixed' ? CLASSES[i % CLASSES.length] : o.class;
    const set = o.set === 'mixed' ? (i % 4 === 3 ? 'early' : 'modern') : o.set;
    const spec = randomSpec(modelClass, set, stream.fork('instrument'));
    const format = o.format === 'varied' ? FORMATS[i % FORMATS.length] : o.format;
    const size = spec.body.outline.length / VIOLIN;
    const settings: ScanSettings = {
      ...qualitySettings(o.quality, i, size, stream.fork('quality')),
      spacing: o.spacing * size,
      kind: CLOUDS.has(format) ? 'cloud' : 'mesh',
      ...(o.format === 'varied' ? { unit: UNITS[i % UNITS.length] } : {}),
    };
    const { file } = await writeEntry(
      dir,
      { number: i, instrument: buildInstrument(spec), settings, format, packing: 'plain' },
      stream.fork('scan'),
    );
    rows.push(`model-${String(i).padStart(4, '0')},${file},,,`);
    o.onScan(i + 1, o.count, file);
  }
  await writeFile(join(dir, 'catalogue.csv'), `${rows.join('\n')}\n`);
}

/**
 * Settings of a quality. *Ordinary*: σ 0.05 mm, correlated error 0.02 mm over 50 mm (every fourth scan falls off as exp(−d/L)), fittings on.
 *
 * @param size  body length ÷ 355 mm
 */
export function qualitySettings(quality: Quality, index: number, size: number, stream: Random): ScanSettings {
  if (quality === 'clean') return SCAN_DEFAULTS;
  const ordinary: ScanSettings = {
    ...SCAN_DEFAULTS,
    sigma: 0.05,
    correlated: { amplitude: 0.02, length: 50, kernel: index % 4 === 3 ? 'exponential' : 'gaussian' },
    fittings: 'fitted',
  };
  if (quality === 'ordinary') return ordinary;
  const pick = <T>(values: readonly T[]): T => values[Math.floor(stream.uniform() * values.length)];
  return {
    ...ordinary,
    sigma: 0.04 + 0.16 * stream.uniform(),
    correlated: {
      amplitude: 0.06 * stream.uniform(),
      // Larger instruments are scanned with longer looks.
      length: (30 + 50 * stream.uniform()) * Math.max(1, 0.6 * size),
      kernel: pick(['gaussian', 'gaussian', 'exponential']),
    },
    view: pick(['whole', 'whole', 'front', 'no-back', 'top-half', 'no-scroll']),
    fittings: pick(['bare', 'strung', 'fitted', 'full']),
    stand: pick(['none', 'none', 'table', 'cradle', 'stand']),
    holes: { count: Math.floor(12 * stream.uniform()), radius: 12 * size },
    outliers: { share: 2e-4 * stream.uniform(), clusters: Math.floor(8 * stream.uniform()) },
    webbing: Math.floor(10 * stream.uniform()),
    inner: pick(['none', 'none', 'none', 'shown']),
    shells: pick(['one', 'one', 'front-and-back']),
    thinning: pick([
      { kind: 'none', cell: 0 },
      { kind: 'adaptive', cell: 3 * size },
      { kind: 'even', cell: 1.2 * size },
    ] as const),
  };
}
