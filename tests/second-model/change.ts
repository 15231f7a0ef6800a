/**
 * What may happen to an instrument between two scans, and what is then true of the pair. Signs as in the definitions: pitch is
 * positive when the scroll end rises towards the strings, yaw when it moves to the bass side, roll when the treble side rises.
 */
export interface Change {
  /** degrees of pitch: in the joint below the heel, and by bending of the heel (a section at height s turns by root + bend·s/h) */
  readonly root: number;
  readonly bend: number;
  /** degrees, of the whole neck, about the middle of the heel's height in the joint */
  readonly yaw: number;
  readonly roll: number;
  /** mm, of the whole neck: to the treble side, upwards */
  readonly shift: readonly [number, number];
  /** mm, change of the sagitta of the neck's back at 45 % over its chord from 15 to 75 % of the neck's length; positive away from the strings */
  readonly warp: number;
  /** degrees about y of the upper block with ribs, top and back near it; the neck's root goes with it */
  readonly block: number;
  /** mm by which the board line's height at the bridge changes: planed (negative = lower), and by bending of the free board */
  readonly planed: number;
  readonly bent: number;
  /** mm by which the top's arch rises in its middle; the edge stays */
  readonly arch: number;
}

export const NO_CHANGE: Change = { root: 0, bend: 0, yaw: 0, roll: 0, shift: [0, 0], warp: 0, block: 0, planed: 0, bent: 0, arch: 0 };

/** The pair's truth, mm and degrees, relative to the baseline. */
export interface ChangeTruth {
  /** neckPitch neckYaw neckRoll neckBend heelRootRotation heelBend blockRotation projectionByNeck projectionByBoard projectionByArch bodyResidual */
  readonly changes: Record<string, number>;
  readonly neckShift: readonly [number, number, number];
  /** later minus baseline of what a single scan has, in the baseline's datums and at the given station */
  readonly differences: Record<string, number>;
}
