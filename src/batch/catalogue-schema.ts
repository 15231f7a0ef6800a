import { z } from 'zod';
import { isoDate } from './iso-date.ts';

/** Relative scale error beyond this is no scanner's but a wrong unit. */
const SCALE_U_AT_MOST = 0.01;
/** mm: noise beyond this shows nothing of a neck. */
const NOISE_AT_MOST = 5;

const text = z.string().min(1);
const yesNo = z.union([z.enum(['yes', 'no']), z.boolean()], { error: 'expected yes or no' }).transform((v) => v === 'yes' || v === true);
const positive = z.number({ error: 'expected a number' }).positive('expected a number above 0');
const notNegative = z.number({ error: 'expected a number' }).min(0, 'expected 0 or more');

/** One row of a catalogue: one scan. Unknown columns are kept as they come. */
export const CATALOGUE_ROW = z
  .object({
    instrument: text.describe('identity: the same word for repeat scans of one instrument'),
    scan: text.describe('path of the scan, relative to the catalogue'),
    date: text
      .refine((d) => isoDate(d) !== undefined, 'expected a date like 2026-01-31')
      .optional()
      .describe('date of the scan, ISO 8601; needed where an instrument has several scans'),
    label: text.optional().describe('what people call it'),
    class: z.enum(['violin', 'viola', 'cello', 'bass', 'auto'], { error: 'expected violin, viola, cello, bass or auto' }).optional(),
    unit: z
      .enum(['mm', 'cm', 'm', 'in', 'auto'], { error: 'expected mm, cm, m, in or auto' })
      .optional()
      .describe("unit of the scan's coordinates"),
    stop: positive.optional().describe('bridge station: distance from the joint, mm'),
    stringsOn: yesNo.optional(),
    humidity: z
      .number({ error: 'expected a number' })
      .min(0, 'expected 0 to 100 (% RH)')
      .max(100, 'expected 0 to 100 (% RH)')
      .optional()
      .describe('relative humidity, %'),
    temperature: z.number({ error: 'expected a number' }).optional().describe('°C'),
    event: text.optional().describe('what was done before this scan, e.g. neck reset'),
    baseline: yesNo.optional().describe('yes on the scan that later ones are compared against; otherwise the earliest date'),
    scanner: text.optional().describe('which device: scans by one share its scale error'),
    scaleU: notNegative
      .max(SCALE_U_AT_MOST, `expected ${SCALE_U_AT_MOST} or less: a relative error, not a percentage`)
      .optional()
      .describe('relative scale error of the scanner, standard'),
    noise: notNegative.max(NOISE_AT_MOST, `expected ${NOISE_AT_MOST} mm or less`).optional().describe('stated noise of the scanner, mm'),
    longWave: notNegative.optional().describe('stated long-wave error of the scanner, mm RMS'),
    longWaveLength: notNegative.optional().describe('its correlation length, mm'),
    made: text.optional().describe('year or range'),
    neck: z
      .enum(['original', 'reset', 'grafted', 'replaced', 'unknown'], { error: 'expected original, reset, grafted, replaced or unknown' })
      .optional(),
    group: text.optional().describe('period, school, model …'),
    maker: text.optional(),
    place: text.optional(),
    holder: text.optional(),
    accession: text.optional(),
    bridgeHeight: positive.optional().describe('mm'),
    note: text.optional(),
  })
  .catchall(z.union([z.string(), z.number(), z.boolean(), z.null()]));

export const CATALOGUE = z.array(CATALOGUE_ROW).min(1, 'holds no scan');

export type CatalogueRow = z.output<typeof CATALOGUE_ROW>;

/** Columns that hold numbers. */
export const NUMBER_COLUMNS: ReadonlySet<string> = new Set([
  'stop',
  'humidity',
  'temperature',
  'scaleU',
  'noise',
  'longWave',
  'longWaveLength',
  'bridgeHeight',
]);
