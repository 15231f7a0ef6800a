import { z } from 'zod';
import { CHANGES } from '../measurands/changes.ts';
import { MEASURANDS } from '../measurands/measurands.ts';
import type { ComparisonRecord } from './comparison-record.ts';
import { FAILED, MEASURED, QUANTITY } from './record-schema.ts';

const u = z.number().min(0);
const three = z.tuple([z.number(), z.number(), z.number()]);
const threeU = z.tuple([u, u, u]);

const VERDICTS = {
  significant: z
    .boolean()
    .optional()
    .describe("by Holm's procedure at 95 % over the headline changes of the pair; absent for what is not among them"),
  significantAlone: z.boolean().optional().describe('by its own test at 95 %'),
};

const CHANGE = QUANTITY.extend({
  ...VERDICTS,
  uBaseline: u.describe('standard uncertainty that the baseline alone brings'),
  decision: u.optional().describe('size at which its own test turns'),
  smallest: u.optional().describe('true change that such a pair shows in 95 of 100 cases'),
});

const VECTOR_CHANGE = z.strictObject({
  ...VERDICTS,
  value: three.describe('x, y, z'),
  unit: z.literal('mm'),
  u: threeU,
  U95: threeU,
  basis: z.literal('measured'),
  quality: QUANTITY.shape.quality,
  budget: z.array(QUANTITY.shape.budget.element.extend({ u: threeU })),
  uBaseline: threeU,
  covariance: z.array(z.number()).length(9).describe('row-major'),
  decision: threeU.optional(),
  smallest: threeU.optional(),
});

const MEASURES = z.strictObject({
  ...Object.fromEntries(MEASURANDS.map(({ id }) => [id, QUANTITY.optional()])),
  ...Object.fromEntries(CHANGES.map(({ id }) => [id, (id === 'neckShift' ? VECTOR_CHANGE : CHANGE).optional()])),
});

const REGISTRATION = z.strictObject({
  motion: z.array(z.number()).length(16).describe("later scan's instrument frame to the baseline's, mm, row-major"),
  covariance: z.array(z.number()).length(36).describe('row-major: rotation vector (rad) about the middle of the body, then shift (mm)'),
  rms: z.number().min(0).describe('mm'),
  overlap: z.number().min(0).max(1),
  stopped: z.string().describe('why the iteration ended'),
  scale: z.strictObject({ value: z.number(), u }).describe('relative difference of lengths along the grain; reported, not applied'),
  longWave: z.strictObject({ amplitude: z.number(), length: z.number() }).optional().describe('long-wave error of the pair, mm'),
});

const BASELINE = {
  baseline: z.string().describe('the scan that it is held against'),
};

/** The record of a compared pair. */
export const COMPARISON = z.union([
  MEASURED.extend({
    ...BASELINE,
    measures: MEASURES.describe("the later scan's own values and the changes"),
    differences: z
      .partialRecord(z.enum(MEASURANDS.map(({ id }) => id)), CHANGE)
      .describe("later minus baseline, in the baseline's datums and at its bridge station"),
    registration: REGISTRATION,
    rootBendCorrelation: z.number().min(-1).max(1).optional(),
    absent: z.array(z.strictObject({ measure: z.string(), reason: z.string() })),
  }),
  FAILED.extend(BASELINE),
]);

/** The record of a pair that was stored, if it still is one; undefined otherwise. */
export function parseComparison(value: unknown): ComparisonRecord | undefined {
  // As it was stored: the parsed copy has its keys in another order.
  return COMPARISON.safeParse(value).success ? (value as ComparisonRecord) : undefined;
}
