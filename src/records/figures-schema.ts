import { z } from 'zod';
import type { StoredFigures } from './figures-file.ts';

const pairs = z.array(z.number().nullable());

/** What pages draw of one scan: instrument frame, mm, flat lists of pairs or triples; null is a gap. */
export const FIGURES = z.strictObject({
  figures: z.literal(1),
  scan: z.string(),
  outline: pairs.describe('outline of the top: x, y'),
  section: pairs.describe('points on the centreline plane: x, z'),
  topCentre: pairs.describe('top plate on the centreline: x, z'),
  boardLine: z.strictObject({ z0: z.number(), slope: z.number(), from: z.number(), to: z.number() }).optional(),
  boardRidge: pairs.describe('ridge of the board: x, z'),
  heelContour: pairs.describe('heel contour: x, z'),
  points: pairs.describe('thinned surface: x, y, z'),
});

/** Figures that were stored, if they still are such; undefined otherwise. */
export function parseFigures(value: unknown): StoredFigures | undefined {
  const parsed = FIGURES.safeParse(value);
  return parsed.success ? (parsed.data as StoredFigures) : undefined;
}
