import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { type Random, random } from '../numerics/random.ts';
import { changedInstrument, NO_CHANGE } from './changed-instrument.ts';
import { buildInstrument, randomSpec } from './instrument.ts';
import type { ModelInstrument } from './model-instrument.ts';
import type { ScanSettings } from './scan-settings.ts';
import { drawStates, SERIES_KINDS, type SeriesDate, type SeriesKind, type SeriesState } from './series-kinds.ts';
import { type ChangeTruth, changeTruth } from './truth-change.ts';
import { COLLECTION_DEFAULTS, type CollectionOptions, qualitySettings } from './write-collection.ts';
import { writeEntry } from './write-entry.ts';
import type { ScanFormat } from './write-scan.ts';

export interface SeriesOptions extends Omit<CollectionOptions, 'format'> {
  /** What becomes of the instruments; `all`: one kind after the other. */
  readonly series: SeriesKind | 'all';
  /** Scans of each instrument. */
  readonly dates?: number;
}

/** Eight dates some six months apart: as many as a trend needs on either side of a break. */
const DATES = 8;
/** Violin to which spacings refer, mm. */
const VIOLIN = 355;
const HEADER = 'instrument,scan,date,label,class,unit,stop,scanner,scaleU,stringsOn,humidity,event,note';

/**
 * Writes repeat scans of invented instruments into `dir`: scans, a catalogue and the truth of every scan, with `changes`, `neckShift` and `differences` against the first. Equal
 * options give equal bytes.
 */
export async function writeSeries(dir: string, options: SeriesOptions): Promise<void> {
  const count = options.count ?? (options.series === 'all' ? SERIES_KINDS.length : 1);
  const o = { ...COLLECTION_DEFAULTS, dates: DATES, ...options, count };
  await mkdir(dir, { recursive: true });
  const rows = [HEADER];
  for (let i = 0, number = 0; i < count; i++) {
    const kind = o.series === 'all' ? SERIES_KINDS[i % SERIES_KINDS.length] : o.series;
    const stream = random(`series ${o.seed}-${i}`);
    const spec = randomSpec(o.class === 'mixed' ? 'violin' : o.class, o.set === 'mixed' ? 'modern' : o.set, stream.fork('instrument'));
    const first = buildInstrument(spec);
    const size = spec.body.outline.length / VIOLIN;
    const dates = drawDates(o.dates, stream.fork('dates'));
    const states = drawStates(kind, spec, size, dates, stream.fork('states'));
    const scanners = drawScanners(kind, o.dates, stream.fork('scanners'));
    let baseline = '';
    for (let k = 0; k < o.dates; k++, number++) {
      const scanner = scanners[k];
      const settings: ScanSettings = {
        ...qualitySettings(o.quality, k, size, stream.fork(`quality ${k}`)),
        spacing: o.spacing * size,
        ...scanner.settings,
      };
      const { file } = await writeState(dir, first, states[k], { number, settings, scanner, baseline }, stream.fork(`scan ${k}`));
      if (k === 0) baseline = file;
      const strings = settings.fittings === 'bare' ? 'no' : 'yes';
      const { humidity, date } = dates[k];
      const name = `model-${String(i).padStart(4, '0')}`;
      rows.push(
        `${name},${file},${date},${kind},,,,${scanner.name},${scanner.scaleU},${strings},${humidity},${states[k].event ?? ''},invented`,
      );
      o.onScan(number + 1, count * o.dates, file);
    }
  }
  await writeFile(join(dir, 'catalogue.csv'), `${rows.join('\n')}\n`);
}

interface StateScan {
  readonly number: number;
  readonly settings: ScanSettings;
  readonly scanner: { readonly format: ScanFormat };
  /** File of the first scan; empty for that itself. */
  readonly baseline: string;
}

/** One date of a series: its scan, and its truth with what changed. */
function writeState(dir: string, first: ModelInstrument, { change }: SeriesState, scan: StateScan, stream: Random) {
  const { number, settings, scanner, baseline } = scan;
  const instrument = change === NO_CHANGE ? first : changedInstrument(first, change);
  const further = baseline === '' ? {} : { baseline, ...storedChange(changeTruth(first, change)) };
  return writeEntry(dir, { number, instrument, settings, format: scanner.format, packing: 'plain', further }, stream);
}

/** `registration` as a 4 × 4, as records have it. */
export const storedChange = ({ registration, ...truth }: ChangeTruth) => ({ ...truth, registration: [...registration, 0, 0, 0, 1] });

interface DrawnDate extends SeriesDate {
  /** ISO 8601. */
  readonly date: string;
  /** % RH. */
  readonly humidity: number;
}

const START = Date.UTC(2021, 9, 1);
const DAY = 86_400_000;
const YEAR = 365.25;
/** Days between scans, so that the seasons do not repeat in step. */
const APART = [150, 240] as const;
/** Middle of a room's humidity, half its swing over the year, and what a day adds, % RH. */
const HUMIDITY = { middle: 48, swing: 14, day: 3 };

function drawDates(count: number, stream: Random): DrawnDate[] {
  const dates: DrawnDate[] = [];
  let day = Math.floor(90 * stream.uniform());
  for (let k = 0; k < count; k++) {
    const at = new Date(START + day * DAY);
    // Most humid at the end of July.
    const season = Math.cos((2 * Math.PI * (at.getTime() / DAY - 210)) / YEAR);
    const humidity = Math.round(HUMIDITY.middle + HUMIDITY.swing * season + HUMIDITY.day * stream.normal());
    const first = dates[0];
    const start = first === undefined ? at.getTime() : Date.parse(first.date);
    dates.push({
      date: at.toISOString().slice(0, 10),
      humidity,
      years: (at.getTime() - start) / DAY / YEAR,
      drier: (first?.humidity ?? humidity) - humidity,
    });
    day += Math.round(APART[0] + (APART[1] - APART[0]) * stream.uniform());
  }
  return dates;
}

interface DrawnScanner {
  readonly name: string;
  readonly scaleU: number;
  readonly format: ScanFormat;
  readonly settings: Partial<ScanSettings>;
}

/** Standard relative scale error of a calibrated scanner. */
const SCALE_U = 2e-4;
const DEVICES: readonly (Pick<DrawnScanner, 'format'> & { readonly settings: Partial<ScanSettings> })[] = [
  { format: 'ply-little-endian', settings: {} },
  { format: 'stl-binary', settings: { unit: 'm', sigma: 0.04 } },
  { format: 'pcd-binary', settings: { kind: 'cloud', sigma: 0.06 } },
  { format: 'obj', settings: { unit: 'in', sigma: 0.03 } },
  { format: 'ply-big-endian', settings: { unit: 'cm', thinning: { kind: 'adaptive', cell: 2 } } },
];

/** The device of each date: one for all, or another each time. */
function drawScanners(kind: SeriesKind, count: number, stream: Random): DrawnScanner[] {
  const device = (k: number): DrawnScanner => {
    const { format, settings } = DEVICES[k % DEVICES.length];
    return { name: `scanner ${k + 1}`, scaleU: SCALE_U, format, settings: { ...settings, scaleError: SCALE_U * stream.normal() } };
  };
  if (kind === 'scanners') return Array.from({ length: count }, (_, k) => device(k));
  const one = device(0);
  return Array.from({ length: count }, () => one);
}
