import type { CatalogueNotes, Settings } from '../records/record.ts';
import type { Subject } from '../records/subject.ts';
import type { CatalogueRow } from './catalogue-schema.ts';

/** What a catalogue's row states about its scan: settings for the measuring, and notes that are passed through. */
export const scanSubject = (row: CatalogueRow): Subject => ({
  scan: row.scan,
  instrument: row.instrument,
  ...(row.date === undefined ? {} : { date: row.date }),
  catalogue: notes(row),
  settings: settings(row),
});

/** Columns that have a place of their own in the record. */
const NOT_NOTES: ReadonlySet<string> = new Set([
  'instrument',
  'scan',
  'date',
  'class',
  'unit',
  'stop',
  'bridgeHeight',
  'scaleU',
  'noise',
  'longWave',
  'longWaveLength',
]);

/** What the trade calls sets of before about 1800: a short board, the neck in line with the ribs. */
const EARLY_GROUP = /\b(?:early|baroque)\b/i;

function settings(row: CatalogueRow): Settings {
  const stated: Settings = {
    ...(row.class === undefined || row.class === 'auto' ? {} : { class: row.class }),
    ...(row.unit === undefined || row.unit === 'auto' ? {} : { unit: row.unit }),
    ...(row.stop === undefined ? {} : { stop: row.stop }),
    ...(row.bridgeHeight === undefined ? {} : { bridgeHeight: row.bridgeHeight }),
    ...(row.group !== undefined && EARLY_GROUP.test(row.group) ? { earlySet: true as const } : {}),
    ...(row.scaleU === undefined ? {} : { scaleU: row.scaleU }),
    ...(row.noise === undefined ? {} : { noise: row.noise }),
    ...(row.longWave === undefined ? {} : { longWave: row.longWave }),
    ...(row.longWaveLength === undefined ? {} : { longWaveLength: row.longWaveLength }),
  };
  return Object.keys(stated).length === 0 ? {} : { ...stated, statedBy: 'catalogue' };
}

function notes(row: CatalogueRow): CatalogueNotes {
  const kept = Object.entries(row).filter(([column, value]) => !NOT_NOTES.has(column) && value !== undefined && value !== null);
  return Object.fromEntries(kept.map(([column, value]) => [column, value === true ? 'yes' : value === false ? 'no' : String(value)]));
}
