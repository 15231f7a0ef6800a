import type { MeasureId } from '../measurands/measurands.ts';

/** Lengths, mm × size, and angles, degrees; standard. From pairs of the model without any change. */
const LENGTHS: Partial<Record<MeasureId, number>> = {
  scoopBass: 0.009,
  scoopCentre: 0.006,
  scoopTreble: 0.009,
  projection: 0.006,
  boardEndHeight: 0.006,
  boardOffset: 0.03,
  boardWidthNut: 0.06,
  boardWidthEnd: 0.05,
};
const ANGLES: Partial<Record<MeasureId, number>> = { neckAngle: 0.0015, boardYaw: 0.007, boardTwist: 0.1 };

/**
 * How the board is modelled is decided scan by scan. A term of the playing surface of 0.006 mm may be in one model and not in the other, and moves by so much what a straightedge
 * touches, what it spans (an angle over half a board), and by more the roll of a nut's width; and a side face may lean from its hollowed arris in one and from a plane in the other.
 *
 * @returns standard uncertainty of a difference, mm or degrees
 */
export const modelChoiceU = (id: MeasureId, size: number): number => (LENGTHS[id] ?? 0) * size + (ANGLES[id] ?? 0);
