import type { MeasureId } from '../measurands/measurands.ts';

/**
 * How sharply a feature is defined by a surface, beyond the scan's own noise: a joint lies where two rounded, glued surfaces meet and the outline is
 * continued past them; a crest is the top of a roundover; a tail end is continued under a saddle; an arris is where two faces would meet that are rounded over before they do. Standard, mm × size; trials on two independent model
 * instruments found misses of this size on scans without noise.
 */
const DEFINITION: Partial<Record<MeasureId, number>> = {
  neckLength: 0.07,
  bodyLength: 0.15,
  stop: 0.08,
  overstand: 0.012,
  overstandBass: 0.016,
  overstandTreble: 0.016,
  archHeight: 0.02,
  widthUpper: 0.025,
  widthWaist: 0.025,
  widthLower: 0.025,
  boardOffset: 0.015,
  // Degrees × size: outlines are told 0.02–0.03 mm × size off where they bend, more on the long bins of large bodies.
  boardYaw: 0.003,
  projection: 0.014,
  boardEndHeight: 0.01,
  heelHeight: 0.035,
  boardEdgeEnd: 0.035,
  edgeFlatnessRms: 0.004,
  edgeFlatnessPV: 0.02,
  // The playing surface is rounded over into its arrises sooner than a fit of low order can follow.
  boardWidthNut: 0.03,
  boardWidthEnd: 0.03,
  boardRadiusNut: 0.15,
  boardRadiusEnd: 0.1,
  boardTwist: 0.05,
  // Where a side begins to widen is told to a few centimetres.
  boardFlareBass: 0.15,
  boardFlareTreble: 0.15,
};

/**
 * What each mm of the spacing of points adds, standard, mm (degrees × size): side faces of 4 to 6 mm hold few rows of points in coarse scans, and those beside an arris are rounded off.
 */
const PER_SPACING: Partial<Record<MeasureId, number>> = {
  boardOffset: 0.03,
  boardYaw: 0.01,
  boardWidthNut: 0.05,
  boardWidthEnd: 0.08,
  boardLength: 0.1,
  boardRadiusNut: 0.05,
  boardRadiusEnd: 0.08,
  boardTwist: 0.05,
  boardTilt: 0.02,
  boardEndHeight: 0.01,
  boardEdgeEnd: 0.02,
  heelHeight: 0.03,
  archHeight: 0.01,
  bridgeHeight: 0.15,
  widthUpper: 0.05,
  widthWaist: 0.05,
  widthLower: 0.05,
};

/** Angles that are uncertain by a length over a length: on larger instruments by less. */
const ANGLES: ReadonlySet<MeasureId> = new Set(['boardYaw', 'boardTwist', 'boardTilt']);

/** What a part that is more coarsely seen than the rest of the scan leaves open besides, of the board's measures: `extra` mm of spacing. */
export const coarserBoard = (extra: number, size: number): readonly (readonly [MeasureId, number])[] =>
  OF_BOARD.map((id) => [id, ((PER_SPACING[id] ?? 0) * Math.max(0, extra)) / (ANGLES.has(id) ? size : 1)] as const);

const OF_BOARD: readonly MeasureId[] = [
  'boardOffset',
  'boardYaw',
  'boardTilt',
  'boardTwist',
  'boardLength',
  'boardWidthNut',
  'boardWidthEnd',
  'boardRadiusNut',
  'boardRadiusEnd',
  'boardEndHeight',
];

/** Definition's share of a value's uncertainty; joints blur with the spacing of points. */
export function definitionU(id: MeasureId, size: number, spacing: number): number {
  const rows = ((PER_SPACING[id] ?? 0) * spacing) / (ANGLES.has(id) ? size : 1);
  // A rounded arris turns a board by as much on any size: both grow with it.
  const own = (DEFINITION[id] ?? 0) * (id === 'boardTwist' ? 1 : size);
  return Math.hypot(own, rows, FROM_JOINT.has(id) ? BLUR * Math.max(0, Math.min(spacing, COARSE * size) - SHARP * size) : 0);
}

/**
 * Measures that count along the body from the joint, and what of the spacing beyond a sharp one (mm × size) its place is uncertain
 * by: coarse meshes cut the corner between outline and root.
 */
const FROM_JOINT: ReadonlySet<MeasureId> = new Set(['neckLength', 'stop', 'bodyLength', 'stopBass', 'stopTreble']);
const BLUR = 0.8;
const SHARP = 0.7;
/** Beyond this spacing, mm × size, the facets' own error takes over. */
const COARSE = 4;
