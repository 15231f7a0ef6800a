import { z } from 'zod';
import { MEASURANDS } from '../measurands/measurands.ts';

const MEASURE_ID = z.enum(
  MEASURANDS.map((m) => m.id),
  { error: 'is no measurand; the README lists them' },
);

const RANGE = z
  .strictObject({ min: z.number().optional(), max: z.number().optional() })
  .refine(({ min, max }) => min !== undefined || max !== undefined, 'needs min, max or both')
  .refine(({ min, max }) => min === undefined || max === undefined || min <= max, 'min is above max');

/** What becomes of the scans: a table of all, or a comparison of those of each instrument. */
const KINDS = ['survey', 'before-after', 'tracking'] as const;

/** A pipeline file: which scans, and what becomes of them. */
export const PIPELINE = z.strictObject({
  kind: z.enum(KINDS, { error: 'expected "survey", "before-after" or "tracking"' }),
  title: z.string().min(1),
  catalogue: z.string().min(1).describe('path of the catalogue, relative to this file'),
  select: z
    .record(z.string(), z.union([z.string(), z.array(z.string()).min(1)]))
    .optional()
    .describe('only rows whose column has this value, or one of these values'),
  groupBy: z.string().min(1).optional().describe('column by which tables and figures of a survey are grouped'),
  limits: z.partialRecord(MEASURE_ID, RANGE).optional().describe('what a measurand may not leave; marked where it does'),
  intended: z.partialRecord(MEASURE_ID, RANGE).optional().describe('what a measurand should be; marked where it is not'),
  out: z.string().min(1).optional().describe('report folder, relative to this file'),
});

export type Pipeline = z.output<typeof PIPELINE>;
