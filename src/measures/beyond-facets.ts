import type { MeasureId } from '../measurands/measurands.ts';

/** Measures that hang on where the board ends: an end face lower than a facet is long melts into strings and top. */
const AT_BOARD_END: readonly MeasureId[] = [
  'boardLength',
  'boardEndHeight',
  'boardWidthEnd',
  'boardRadiusEnd',
  'boardTwist',
  'boardFlareBass',
  'boardFlareTreble',
  'boardEdgeEnd',
  'stringHeightBass',
  'stringHeightTreble',
];

/** Measures that hang on the board's side faces, 5 mm high and beset with strings: facets as long as that run from one to the other. */
const AT_BOARD_SIDES: readonly MeasureId[] = [
  'boardOffset',
  'boardYaw',
  'boardTilt',
  'boardWidthNut',
  'boardRadiusNut',
  'scoopBass',
  'scoopTreble',
  'boardEdgeNut',
];

/**
 * What facets leave open as a whole, beside what single ones cut off, standard, share of their edge (degrees a mm for the angle): an outline is that of their outermost corners, a
 * common error of both its sides; which facets count as board, and where it stops, turns its line.
 */
const DOUBT: readonly (readonly [MeasureId, number])[] = [
  ['widthUpper', 0.08],
  ['widthWaist', 0.08],
  ['widthLower', 0.08],
  ['neckAngle', 0.012],
  ['projection', 0.06],
];

/** @param edge  of coarse facets, mm; 0 for a scan that is fine enough */
export const facetDoubt = (edge: number): readonly (readonly [MeasureId, number])[] =>
  edge === 0 ? [] : DOUBT.map(([id, share]) => [id, share * edge] as const);

/** Reasons for what facets of `edge` mm cannot show; none for a scan that is fine enough (edge 0). */
export function beyondFacets(edge: number): ReadonlyMap<MeasureId, string> {
  if (edge === 0) return new Map();
  const because = (place: string): string =>
    `the surface consists of facets of some ${edge.toFixed(0)} mm: the board's ${place} not resolved, this needs 4 mm or finer`;
  return new Map([
    ...AT_BOARD_END.map((id) => [id, because('end is')] as const),
    ...AT_BOARD_SIDES.map((id) => [id, because('sides are')] as const),
  ]);
}
