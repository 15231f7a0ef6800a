import { z } from 'zod';

const count = z.int().min(0);
const sha256 = z.string().regex(/^[0-9a-f]{64}$/);

/** `run.json`: what ran. */
export const RUN_FILE = z.strictObject({
  run: z.literal(1),
  kind: z.enum(['survey', 'before-after', 'tracking']),
  title: z.string(),
  pipeline: z.strictObject({ file: z.string(), sha256, content: z.unknown() }),
  catalogue: z.strictObject({ file: z.string(), sha256 }),
  software: z.strictObject({ name: z.string(), version: z.string(), build: z.string() }),
  node: z.string(),
  jobs: z.int().min(1),
  startedAt: z.string(),
  finishedAt: z.string(),
  scans: z.strictObject({ asked: count, measured: count, reused: count, failed: count }),
  inputs: z.array(z.strictObject({ scan: z.string(), sha256: sha256.nullable(), record: z.string(), reused: z.boolean() })),
  failures: z.array(z.strictObject({ scan: z.string(), code: z.string(), message: z.string() })),
});
