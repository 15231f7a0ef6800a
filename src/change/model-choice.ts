import type { Gathered } from '../measures/family.ts';
import type { MeasureId } from '../measurands/measurands.ts';

/** Lengths, mm × size, and angles, degrees; standard. From pairs of the model without any change. */
const LENGTHS: Partial<Record<MeasureId, number>> = {
  scoopBass: 0.009,
  scoopCentre: 0.006,
  scoopTreble: 0.009,
  projection: 0.006,
  boardEndHeight: 0.006,
  boardOffset: 0.045,
  boardWidthNut: 0.075,
  boardWidthEnd: 0.05,
};
const ANGLES: Partial<Record<MeasureId, number>> = { neckAngle: 0.0015, boardYaw: 0.009, boardTwist: 0.1 };

/**
 * The cross-section of one scan may be of the second degree and that of the other of the fourth, or a facet seen in one alone: the radius then takes up what the other leaves out. Lengths, mm × size, and
 * angles, degrees; standard, from pairs of both models.
 */
const OTHER_SECTION_LENGTHS: Partial<Record<MeasureId, number>> = { boardRadiusNut: 0.8, boardRadiusEnd: 0.5 };
const OTHER_SECTION_ANGLES: Partial<Record<MeasureId, number>> = { boardTwist: 0.1 };

/**
 * A warp ends in kinks that no smooth board follows, even one that is modelled as warped. Per mm of warp on a violin: lengths in mm, angles in degrees; standard, from pairs of both models with
 * warps of 0.2 to 0.6 mm, which the neck's wood shows.
 */
const WARP_IN_BOARD: Partial<Record<MeasureId, number>> = {
  neckAngle: 0.035,
  boardWedge: 0.035,
  projection: 0.12,
  boardEndHeight: 0.08,
  scoopBass: 0.12,
  scoopCentre: 0.12,
  scoopTreble: 0.12,
};
export const warpInBoardU = (id: MeasureId, warp: number): number => (WARP_IN_BOARD[id] ?? 0) * warp;

/**
 * A board that bent, or was planed, has lower arrises that are no straight lines any more, as they are modelled: what hangs on them is off by this per mm that the board line moved against the neck's wood at the bridge
 * station. Lengths in mm, angles in degrees; standard, from pairs of both models with boards bent by 0.5 to 0.9 mm.
 */
const BENT_BOARD: Partial<Record<MeasureId, number>> = {
  boardEdgeEnd: 0.2,
  heelHeight: 0.15,
  overstand: 0.04,
  overstandBass: 0.05,
  overstandTreble: 0.05,
  bedAngle: 0.03,
  boardWedge: 0.03,
};
export const bentBoardU = (id: MeasureId, moved: number): number => (BENT_BOARD[id] ?? 0) * moved;

type Section = NonNullable<Gathered['section']>;

/**
 * How the board is modelled is decided scan by scan. A term of the playing surface of 0.006 mm may be in one model and not in the other, and moves by so much what a straightedge
 * touches, what it spans (an angle over half a board), and by more the roll of a nut's width; and a side face may lean from its hollowed arris in one and from a plane in the other.
 *
 * @returns standard uncertainty of a difference, mm or degrees
 */
export function modelChoiceU(id: MeasureId, size: number, sections: readonly (Section | undefined)[]): number {
  const always = (LENGTHS[id] ?? 0) * size + (ANGLES[id] ?? 0);
  const [a, b] = sections;
  const isSame = a?.facet === b?.facet && (a?.degree ?? 0) > 2 === (b?.degree ?? 0) > 2;
  return isSame ? always : Math.hypot(always, (OTHER_SECTION_LENGTHS[id] ?? 0) * size, OTHER_SECTION_ANGLES[id] ?? 0);
}
