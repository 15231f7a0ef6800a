import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { Random } from '../numerics/random.ts';
import type { ModelInstrument } from './model-instrument.ts';
import type { ScanSettings } from './scan-settings.ts';
import { scanInstrument } from './scanner.ts';
import { instrumentTruth, type ScanTruth, truthOf } from './truth.ts';
import { EXTENSION, type ScanFormat, writeScan } from './write-scan.ts';

/** One scan of a collection. */
export interface Entry {
  readonly number: number;
  readonly instrument: ModelInstrument;
  readonly settings: ScanSettings;
  readonly format: ScanFormat;
  readonly packing: 'plain' | 'gzip';
  /** Decimals to which the catalogue states the stop, or that it does not. */
  readonly statedStop?: 'to 0.1 mm' | 'none';
  /** What the truth file holds besides. */
  readonly further?: Readonly<Record<string, unknown>>;
}

/** Digits after the point in truth files: a nanometre. */
const DIGITS = 6;

/** Scans an instrument and writes scan and truth into `dir`; gives the scan's file name and the truth. */
export async function writeEntry(dir: string, entry: Entry, random: Random): Promise<{ readonly file: string; readonly truth: ScanTruth }> {
  const number = String(entry.number).padStart(4, '0');
  const { instrument } = entry;
  const scan = scanInstrument(instrument, entry.settings, random);
  const file = `scan-${number}.${EXTENSION[entry.format]}${entry.packing === 'gzip' ? '.gz' : ''}`;
  await writeFile(join(dir, file), writeScan(scan, entry.format, entry.settings.unit, entry.packing));
  const stated = entry.statedStop === 'to 0.1 mm' ? Math.round(10 * instrumentTruth(instrument).byStation.notches.stop) / 10 : undefined;
  const truth = truthOf(instrument, scan, stated);
  await writeFile(join(dir, `truth-${number}.json`), `${JSON.stringify(rounded({ scan: file, ...truth, ...entry.further }), null, 1)}\n`);
  return { file, truth };
}

/** Motions keep all digits (a scan may lie a kilometre away, where a millionth of a radian is a millimetre), values do not need them. */
const WHOLE: ReadonlySet<string> = new Set(['frame', 'registration']);

function rounded(value: unknown): unknown {
  if (typeof value === 'number') return Number(value.toFixed(DIGITS));
  if (Array.isArray(value)) return value.map(rounded);
  if (typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(Object.entries(value).map(([key, v]) => [key, WHOLE.has(key) ? v : rounded(v)]));
}
