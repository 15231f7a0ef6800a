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

/** Reasons for what facets of `edge` mm cannot show; none for a scan that is fine enough (edge 0). */
export function beyondFacets(edge: number): ReadonlyMap<MeasureId, string> {
  const reason = `the surface consists of facets of some ${edge.toFixed(0)} mm: the board's end is not resolved, this needs 4 mm or finer`;
  return new Map(edge > 0 ? AT_BOARD_END.map((id) => [id, reason]) : []);
}
