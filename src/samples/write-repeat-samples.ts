import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { random } from '../numerics/random.ts';
import { changedInstrument, type InstrumentChange, NO_CHANGE } from './changed-instrument.ts';
import { buildInstrument, randomSpec } from './instrument.ts';
import { NO_NECK_CHANGE } from './neck-change.ts';
import { SCAN_DEFAULTS, type ScanSettings } from './scan-settings.ts';
import { changeTruth } from './truth-change.ts';
import { writeEntry } from './write-entry.ts';
import { storedChange } from './write-series.ts';

/** One of the school's instruments that was scanned again, and its state at each date against the first. */
interface Watched {
  readonly id: string;
  readonly label: string;
  /** Number of its first scan. */
  readonly first: number;
  /** Degrees by which its neck had sunk before the first scan. */
  readonly sunk: number;
  readonly dates: readonly {
    readonly date: string;
    /** % RH. */
    readonly humidity: number;
    readonly change: InstrumentChange;
    readonly event?: string;
    readonly note?: string;
  }[];
}

const DEGREE = Math.PI / 180;
/** Rise of the arch for each per cent of humidity, mm. */
const ARCH = 0.008;
/** % RH at the first date. */
const AT_FIRST = 58;

/** A neck that sinks by root and heel alike, the top moving with the season. */
const sinking = (degrees: number, humidity: number): InstrumentChange => ({
  ...NO_CHANGE,
  neck: { ...NO_NECK_CHANGE, root: 0.6 * degrees * DEGREE, bend: 0.4 * degrees * DEGREE },
  swell: ARCH * (humidity - AT_FIRST),
});

const RESET: InstrumentChange = {
  ...NO_CHANGE,
  neck: { ...NO_NECK_CHANGE, root: -0.8 * DEGREE, yaw: 0.12 * DEGREE, shift: [0, 0.15, 0.5] },
  recut: { lean: 8.5 * DEGREE, bow: -0.2 },
};

const WATCHED: readonly Watched[] = [
  {
    id: 'loan-13',
    label: 'Violin that is watched',
    first: 13,
    sunk: 0,
    dates: [
      { date: '2024-09-02', humidity: AT_FIRST, change: NO_CHANGE, note: 'new to the school' },
      { date: '2025-02-17', humidity: 37, change: sinking(0.07, 37) },
      { date: '2025-09-01', humidity: 60, change: sinking(0.15, 60) },
      { date: '2026-03-02', humidity: 41, change: sinking(0.22, 41) },
      { date: '2026-08-24', humidity: 57, change: sinking(0.3, 57), note: 'the strings stand higher' },
    ],
  },
  {
    id: 'loan-14',
    label: 'Violin whose neck was reset',
    first: 18,
    sunk: 0.9,
    dates: [
      { date: '2026-04-13', humidity: 50, change: NO_CHANGE, note: 'the board is too low' },
      { date: '2026-08-24', humidity: 53, change: RESET, event: 'neck reset', note: 'back from the workshop' },
    ],
  },
];

/** Coarse clouds: seven scans more must not outweigh the twelve. mm. */
const LOOK: Partial<ScanSettings> = {
  sigma: 0.03,
  correlated: { amplitude: 0.015, length: 50, kernel: 'gaussian' },
  fittings: 'strung',
  spacing: 0.9,
  thinning: { kind: 'even', cell: 3.4, nearCell: 1.4 },
  step: 0.032,
  kind: 'cloud',
};
const SCANNER = 'school scanner';
const HEADER = 'instrument,scan,date,label,scanner,stringsOn,humidity,event,note';

/** Writes the invented repeat scans of `sample-scans/` with their truth and a catalogue of their own. The same bytes each time. */
export async function writeRepeatSamples(dir: string): Promise<void> {
  const rows = [HEADER];
  for (const { id, label, first, sunk, dates } of WATCHED) {
    const stream = random(`sample-scans ${id}`);
    const spec = randomSpec('violin', 'modern', stream.fork('instrument'));
    const instrument = buildInstrument({ ...spec, neck: { ...spec.neck, bedAngle: spec.neck.bedAngle - sunk * DEGREE } });
    let baseline = '';
    for (const [k, { date, humidity, change, event, note }] of dates.entries()) {
      const { file } = await writeEntry(
        dir,
        {
          number: first + k,
          instrument: change === NO_CHANGE ? instrument : changedInstrument(instrument, change),
          settings: { ...SCAN_DEFAULTS, ...LOOK },
          format: 'ply-little-endian',
          packing: 'gzip',
          further: baseline === '' ? {} : { baseline, ...storedChange(changeTruth(instrument, change)) },
        },
        stream.fork(`scan ${k}`),
      );
      if (k === 0) baseline = file;
      rows.push([id, file, date, label, SCANNER, 'yes', humidity, event ?? '', note ?? ''].join(','));
    }
  }
  await writeFile(join(dir, 'repeat-scans.csv'), `${rows.join('\n')}\n`);
}
