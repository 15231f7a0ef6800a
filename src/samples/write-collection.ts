import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { random } from '../numerics/random.ts';
import { buildInstrument, type ModelClass, type ModelSet, randomSpec } from './instrument.ts';
import { SCAN_DEFAULTS, type ScanSettings } from './scan-settings.ts';
import { scanInstrument } from './scanner.ts';
import { truthOf } from './truth.ts';
import { writePly } from './write-ply.ts';

export type Quality = 'clean' | 'ordinary';

export interface CollectionOptions {
  /** How many scans. */
  readonly count?: number;
  /** The same number gives the same collection. */
  readonly seed?: number;
  readonly class?: ModelClass;
  readonly set?: ModelSet;
  readonly quality?: Quality;
}

export const COLLECTION_DEFAULTS = { count: 12, seed: 1, class: 'violin', set: 'modern', quality: 'ordinary' } as const satisfies Required<CollectionOptions>;

/** Settings of a quality; spacing grows with the instrument. */
export function qualitySettings(quality: Quality, bodyLength: number): ScanSettings {
  const spacing = (0.5 * bodyLength) / 355;
  if (quality === 'clean') return { ...SCAN_DEFAULTS, spacing };
  return { ...SCAN_DEFAULTS, spacing, sigma: 0.05, correlated: { amplitude: 0.02, length: 50, kernel: 'gaussian' }, fittings: 'fitted' };
}

/** Writes invented scans, their truth and a catalogue into `dir`. */
export async function writeCollection(dir: string, options: CollectionOptions = {}): Promise<void> {
  const { count, seed, class: modelClass, set, quality } = { ...COLLECTION_DEFAULTS, ...options };
  await mkdir(dir, { recursive: true });
  const rows = ['instrument,scan,class,unit'];
  for (let i = 0; i < count; i++) {
    const stream = random(`${seed}-${i}`);
    const number = String(i).padStart(4, '0');
    const instrument = buildInstrument(randomSpec(modelClass, set, stream.fork('instrument')));
    const scan = scanInstrument(instrument, qualitySettings(quality, instrument.spec.body.outline.length), stream.fork('scan'));
    const file = `scan-${number}.ply`;
    await writeFile(join(dir, file), writePly(scan, 'binary_little_endian'));
    await writeFile(join(dir, `truth-${number}.json`), `${JSON.stringify({ scan: file, ...truthOf(instrument, scan) }, null, 1)}\n`);
    rows.push(`model-${number},${file},${modelClass},${scan.settings.unit}`);
  }
  await writeFile(join(dir, 'catalogue.csv'), `${rows.join('\n')}\n`);
}
