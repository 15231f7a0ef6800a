import type { MeasureId } from '../../measurands/measurands.ts';
import { coarserBoard } from '../definition-u.ts';
import type { InstrumentClass, Workpiece } from '../family.ts';
import type { FoundBoard } from './found-board.ts';

const DEGREES = 180 / Math.PI;

/** What blunts the features of a board, mm. */
export interface BoardBluntness {
  /** What the coarser of playing surface and side faces is coarser than the scan by. */
  readonly coarser: number;
  /** Distance of neighbouring points at the nut's front. */
  readonly nutSpacing: number;
  /** How far the surface strays from the model of it, robust. */
  readonly strays: number;
}

/** Standard uncertainty of each measure of the board that no repetition of the fits shows, mm and degrees. */
export function boardBlur(found: FoundBoard, work: Workpiece, { coarser, nutSpacing, strays }: BoardBluntness): Map<MeasureId, number> {
  return joined(
    blurOf(found),
    coarserBoard(coarser, work.size),
    facetBlur(work),
    kinkBlur(strays > SMOOTH * work.size ? strays : 0, work.size),
    coarseNut(nutSpacing, work.size),
  );
}

/** Misfit up to which it is left to the halves of the scan to tell a fault, mm × size. */
const SMOOTH = 0.08;

/** Independent doubts of one measure together. */
function joined(...parts: readonly Iterable<readonly [MeasureId, number]>[]): Map<MeasureId, number> {
  const all = new Map<MeasureId, number>();
  for (const part of parts) for (const [id, u] of part) all.set(id, Math.hypot(all.get(id) ?? 0, u));
  return all;
}

/** The heel's height sets the stretch of its contour that is measured: on usual heels, bowed by some 0.5 mm over 15 mm, the lean changes by this much per mm of height. */
const HEEL_LEAN_PER_MM = 0.5;
const HEEL_BOW_PER_MM = 0.05;

/** How far the lower arrises are uncertain as a whole, where only the ends of the side faces tell them or part of their rims, by what hangs on them. */
function blurOf(found: FoundBoard): ReadonlyMap<MeasureId, number> {
  const { edgeBass, edgeTreble, rimBass, rimTreble, bass, treble } = found;
  const blur = new Map<MeasureId, number>();
  const [b, t] = [rimBass?.u ?? edgeBass?.u ?? 0, rimTreble?.u ?? edgeTreble?.u ?? 0];
  if (b === 0 && t === 0) return blur;
  const mean = (b + t) / 2;
  const width = bass && treble ? treble.y0 - bass.y0 : Number.NaN;
  blur.set('overstandBass', b);
  blur.set('overstandTreble', t);
  for (const id of ['overstand', 'boardEdgeEnd', 'heelHeight'] as const) blur.set(id, mean);
  blur.set('boardTilt', (Math.hypot(b, t) / width) * DEGREES);
  blur.set('heelLean', HEEL_LEAN_PER_MM * mean);
  blur.set('heelBow', HEEL_BOW_PER_MM * mean);
  return blur;
}

/**
 * Boards of cellos and basses often have a flat facet under the lowest string, which runs out towards the nut: where it is not resolved, or where its crease is taken
 * for a little else, radius, twist and the arris beside it are off by so much. Standard: mm × size, degrees; misses of both model instruments with a facet.
 */
const FACETED: ReadonlySet<InstrumentClass> = new Set(['cello', 'bass']);
const FACET_LENGTHS: readonly (readonly [MeasureId, number])[] = [
  ['boardRadiusNut', 0.8],
  ['boardRadiusEnd', 0.4],
  ['boardWidthNut', 0.06],
  ['boardWidthEnd', 0.06],
  ['boardOffset', 0.05],
  ['boardEdgeEnd', 0.05],
  ['scoopBass', 0.02],
  ['scoopCentre', 0.01],
  ['scoopTreble', 0.015],
];
const FACET_ANGLES: readonly (readonly [MeasureId, number])[] = [
  ['boardTwist', 0.3],
  ['boardYaw', 0.012],
];

function facetBlur(work: Workpiece): (readonly [MeasureId, number])[] {
  if (!FACETED.has(work.instrumentClass)) return [];
  return [...FACET_LENGTHS.map(([id, u]) => [id, u * work.size] as const), ...FACET_ANGLES];
}

/**
 * What a kink that the model smooths over leaves open, standard, as shares of the misfit: it may lie where the gap under a straightedge is deepest; the straightedge touches
 * beside it; the lower arrises bend with it between joint and heel; and sides follow it worse than the middle. Lengths in mm per mm; angles in degrees per mm over lever arms
 * of 200 mm along and 24 mm across on a violin.
 */
const KINKED_LENGTHS: readonly (readonly [MeasureId, number])[] = [
  ['scoopBass', 0.7],
  ['scoopCentre', 0.7],
  ['scoopTreble', 0.7],
  ['projection', 0.5],
  ['boardEndHeight', 0.5],
  ['heelHeight', 1.2],
];
const KINKED_ANGLES: readonly (readonly [MeasureId, number])[] = [
  ['neckAngle', (0.8 / 200) * DEGREES],
  ['boardWedge', (0.8 / 200) * DEGREES],
  ['boardTwist', (0.6 / 24) * DEGREES],
];

function kinkBlur(misfit: number, size: number): (readonly [MeasureId, number])[] {
  if (misfit === 0) return [];
  return [
    ...KINKED_LENGTHS.map(([id, u]) => [id, u * misfit] as const),
    ...KINKED_ANGLES.map(([id, u]) => [id, (u * misfit) / size] as const),
  ];
}

/** Where between two rows of a coarse scan the nut's front stands: beyond a spacing that shows it sharply (mm × size), by this share of a spacing, standard. */
const SHARP_NUT = 0.7;
const BETWEEN_ROWS = 0.5;

function coarseNut(spacing: number, size: number): (readonly [MeasureId, number])[] {
  const u = BETWEEN_ROWS * Math.max(0, spacing - SHARP_NUT * size);
  return u > 0 ? (['boardLength', 'neckLength', 'stringLength'] as const).map((id) => [id, u] as const) : [];
}
