import { z } from 'zod';
import { MEASURANDS } from '../measurands/measurands.ts';
import type { ScanRecord } from './record.ts';

const ID = z.enum(MEASURANDS.map((m) => m.id));

const SETTINGS = z.strictObject({
  class: z.enum(['violin', 'viola', 'cello', 'bass']).optional(),
  unit: z.enum(['mm', 'cm', 'm', 'in']).optional(),
  stop: z.number().optional().describe('mm from the joint'),
  bridgeHeight: z.number().optional().describe('mm'),
  earlySet: z.literal(true).optional(),
  scaleU: z.number().optional().describe('relative, standard'),
  noise: z.number().optional().describe('mm, standard'),
  longWave: z.number().optional().describe('mm RMS'),
  longWaveLength: z.number().optional().describe('mm'),
  statedBy: z.enum(['given', 'catalogue']).optional(),
});

/** A measured value with its uncertainty. */
export const QUANTITY = z.strictObject({
  value: z.number(),
  unit: z.enum(['mm', 'deg', '1']),
  u: z.number().min(0).describe('standard uncertainty'),
  U95: z.number().min(0).describe('half-width of the 95 % interval'),
  low: z.number().optional(),
  high: z.number().optional(),
  basis: z.enum(['measured', 'given', 'catalogue', 'assumed']),
  quality: z.enum(['good', 'fair', 'poor']),
  budget: z.array(
    z.strictObject({
      source: z.string(),
      u: z.number().min(0),
      assumed: z.literal(true).optional().describe('its size is an assumption, neither seen in the scan nor stated'),
    }),
  ),
});

const HEAD = {
  record: z.literal(1),
  scan: z.string(),
  sha256: z
    .string()
    .regex(/^[0-9a-f]{64}$/)
    .optional(),
  instrument: z.string().optional(),
  date: z.string().optional().describe('ISO 8601'),
  catalogue: z.record(z.string(), z.string()).optional(),
};

const TAIL = {
  settings: SETTINGS,
  software: z.strictObject({ name: z.string(), version: z.string(), build: z.string() }),
  measuredAt: z.string().describe('ISO 8601, UTC'),
};

/** A scan that was measured. */
export const MEASURED = z.strictObject({
  ...HEAD,
  format: z.string(),
  points: z.int().min(0),
  triangles: z.int().min(0),
  unit: z.strictObject({ value: z.enum(['mm', 'cm', 'm', 'in']), basis: z.enum(['given', 'catalogue', 'format', 'inferred']) }),
  class: z.strictObject({ value: z.enum(['violin', 'viola', 'cello', 'bass']), basis: z.enum(['given', 'catalogue', 'inferred']) }),
  station: z.strictObject({ x: z.number(), source: z.enum(['given', 'catalogue', 'notches', 'bridge', 'assumed']) }).optional(),
  frame: z.array(z.number()).length(16).describe("scan coordinates in the scan's own unit to the instrument frame in mm, row-major"),
  measures: z.partialRecord(ID, QUANTITY),
  absent: z.array(z.strictObject({ measure: ID, reason: z.string() })),
  warnings: z.array(z.string()),
  survey: z.strictObject({
    sigma: z.number().describe('noise of a point along the normal, mm'),
    correlatedNoise: z.number().min(0).optional().describe('part of it that neighbouring points share, mm; 0: they are independent'),
    correlationLength: z.number().min(0).optional().describe('length over which they share it, mm'),
    effectivePoints: z.int().min(0).optional().describe('independent points that would tell a mean over the surface as well'),
    spacing: z.number().describe('spacing of points over most of the surface, or edge of the facets, mm'),
    extent: z.tuple([z.number(), z.number(), z.number()]).describe('mm'),
    coverage: z.record(z.string(), z.number()),
  }),
  dropped: z.record(z.string(), z.number()),
  ...TAIL,
});

/** A scan that could not be measured. */
export const FAILED = z.strictObject({
  ...HEAD,
  failed: z.strictObject({ code: z.string().regex(/^[a-z]+(?:-[a-z]+)*$/), message: z.string() }),
  ...TAIL,
});

/** The record of one scan. */
export const RECORD = z.union([MEASURED, FAILED]);

/** A record that was stored, if it still is one; undefined otherwise. */
export function parseRecord(value: unknown): ScanRecord | undefined {
  const parsed = RECORD.safeParse(value);
  // The schema and the type say the same; only `exactOptionalPropertyTypes` keeps the compiler from seeing it.
  return parsed.success ? (parsed.data as ScanRecord) : undefined;
}
