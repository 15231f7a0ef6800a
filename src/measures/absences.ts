import { MEASURANDS, type MeasureId } from '../measurands/measurands.ts';
import { type Fineness, neededFineness } from './needed-fineness.ts';
import type { Quantity } from './result.ts';

const NO_ARRISES = "the board's lower arrises or the middle of the heel are not seen";
const THIN_STRINGS = "strings are thinner than scans resolve: their undersides over the board's end are not measured";
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
  neckThicknessNut: 'board or back of the neck not seen on the centreline at 15 % of its length',
  neckThicknessHeel: 'board or back of the neck not seen on the centreline at 65 % of its length',
  heelHeight: NO_ARRISES,
  heelLean: NO_ARRISES,
  heelBow: NO_ARRISES,
  stringLength: 'no bridge is seen or stated',
  stringAngle: 'no bridge is seen or stated, or the saddle is not seen',
  bridgeHeight: 'no bridge is seen',
  bridgeLean: 'no bridge is seen',
  stringHeightBass: THIN_STRINGS,
  stringHeightTreble: THIN_STRINGS,
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

/** What a measure is reckoned from: without it the reason is that one's. */
const FROM_MEASURE: Partial<Record<MeasureId, MeasureId>> = {
  neckThicknessNut: 'neckLength',
  neckThicknessHeel: 'neckLength',
  stopRatio: 'neckLength',
  heelHeight: 'overstand',
  heelLean: 'overstand',
  heelBow: 'overstand',
};

/** Every measurand without a value, with its reason, in the order of tables. */
export function absences(
  measures: Partial<Record<MeasureId, Quantity>>,
  reasons: ReadonlyMap<MeasureId, string>,
  hasJoint: boolean,
  fineness: Fineness,
): { measure: MeasureId; reason: string }[] {
  const needed = (id: MeasureId): string | undefined => {
    const from = FROM_MEASURE[id];
    return from === undefined || measures[from] !== undefined ? undefined : reasons.get(from);
  };
  const why = (id: MeasureId): string =>
    reasons.get(id) ??
    (!hasJoint && FROM_JOINT.has(id) ? 'the joint of neck and body is not seen' : (needed(id) ?? FALLBACK[id] ?? UNSEEN));
  return MEASURANDS.filter((m) => measures[m.id] === undefined).map(({ id }) => {
    const reason = why(id);
    // A reason that names what is needed already says enough.
    return { measure: id, reason: reason.includes('this needs') ? reason : `${reason}${neededFineness(id, fineness)}` };
  });
}
