import { MEASURANDS, type MeasureId } from '../measurands/measurands.ts';
import type { Quantity } from './result.ts';

/** Why a value is missing when no part of the search said so itself. */
const FALLBACK: Partial<Record<MeasureId, string>> = {
  neckLength: "the nut's front edge or the joint is not seen",
  stop: 'no station: neither notches nor bridge nor neck length are seen, and none was stated',
  stopRatio: 'the station is only assumed from the usual ratio, so the ratio itself is not measured',
  projection: "the board line, the station or the top's surface there is not seen",
  boardEndHeight: "the board's end or the top below it is not seen",
  overstand: 'the lower arrises or the crest beside the neck root are not seen on both sides',
  overstandBass: 'the lower arris or the crest beside the neck root is not seen on the bass side',
  overstandTreble: 'the lower arris or the crest beside the neck root is not seen on the treble side',
  boardOffset: "the board's centreline or the station is not seen",
  bodyLength: 'the joint or the tail end of the outline is not seen',
  widthUpper: 'the outline of the upper bout is not seen on both sides',
  widthWaist: 'the outline of the waist is not seen on both sides',
  widthLower: 'the outline of the lower bout is not seen on both sides',
  stringLength: 'no bridge is seen or stated',
  stringAngle: 'no bridge is seen or stated, or the saddle is not seen',
  bridgeHeight: 'no bridge is seen',
  bridgeLean: 'no bridge is seen',
  stringHeightBass: 'no string is seen over the board end',
  stringHeightTreble: 'no string is seen over the board end',
};
const UNSEEN = 'the parts it is measured on are not seen clearly enough';
/** Measures that count from the joint: without it they have no zero. */
const FROM_JOINT: ReadonlySet<MeasureId> = new Set([
  'neckLength',
  'stop',
  'stopRatio',
  'bodyLength',
  'projection',
  'boardOffset',
  'overstand',
  'overstandBass',
  'overstandTreble',
]);

/** Every measurand without a value, with its reason, in the order of tables. */
export function absences(
  measures: Partial<Record<MeasureId, Quantity>>,
  reasons: ReadonlyMap<MeasureId, string>,
  hasJoint: boolean,
): { measure: MeasureId; reason: string }[] {
  return MEASURANDS.filter((m) => measures[m.id] === undefined).map(({ id }) => ({
    measure: id,
    reason: reasons.get(id) ?? (!hasJoint && FROM_JOINT.has(id) ? 'the joint of neck and body is not seen' : (FALLBACK[id] ?? UNSEEN)),
  }));
}
