import type { Samples } from '../geometry/samples.ts';
import { type MidpointPlaces, midpointPlaces } from './datums.ts';

/**
 * Where the definitions of A and B look and where the scan shows something there. Plan coordinates of the working frame, mm. The crest is listed about evenly by length round a usual outline,
 * without what lies under neck, board and saddle; mid-points by x.
 */
export interface SeenOutline {
  readonly crest: { readonly xy: readonly (readonly [number, number])[]; readonly seen: readonly boolean[] };
  /** x of mid-points that the centreline is defined by, and of those that it was found from. */
  readonly midpoints: MidpointPlaces;
  /** Whether next to nothing is missing. */
  readonly whole: boolean;
}

/** One side of a usual outline, even to a few per cent by length: x and |y|, shares of body length (common practice, no source). */
const USUAL_SIDE: readonly (readonly [number, number])[] = [
  [0.013, 0.09],
  [0.035, 0.14],
  [0.07, 0.185],
  [0.12, 0.218],
  [0.175, 0.234],
  [0.23, 0.234],
  [0.285, 0.218],
  [0.335, 0.207],
  [0.38, 0.2],
  [0.42, 0.165],
  [0.47, 0.156],
  [0.525, 0.163],
  [0.565, 0.2],
  [0.595, 0.25],
  [0.65, 0.25],
  [0.7, 0.272],
  [0.755, 0.288],
  [0.81, 0.291],
  [0.865, 0.278],
  [0.915, 0.245],
  [0.95, 0.2],
  [0.975, 0.15],
  [0.99, 0.095],
];
/** A place of the crest counts as seen when the scan shows crest within this, share of body length: real outlines differ from the usual one by less. */
const NEAR = 0.045;
/** Spacing of mid-points here, mm × size. */
const MIDPOINT_STEP = 4;
/** Share that must be seen for the rest not to matter: clamps, corks and small gaps in the scan. */
const WHOLE = 0.93;

export function seenOutline(crest: Samples, outlineBass: Samples, outlineTreble: Samples, bodyLength: number): SeenOutline {
  const xy = [-1, 1].flatMap((side) => USUAL_SIDE.map(([x, y]) => [x * bodyLength, side * y * bodyLength] as const));
  const seen = xy.map(([x, y]) => isNear(crest, x, y, NEAR * bodyLength));
  const midpoints = midpointPlaces(outlineBass, outlineTreble, bodyLength, (MIDPOINT_STEP * bodyLength) / 355);
  const inWanted = midpoints.used.length / Math.max(1, midpoints.wanted.length);
  return {
    crest: { xy, seen },
    midpoints,
    whole: seen.filter(Boolean).length >= WHOLE * seen.length && midpoints.asDefined && inWanted >= WHOLE,
  };
}

function isNear(s: Samples, x: number, y: number, reach: number): boolean {
  for (let i = 0; i < s.count; i++) if (Math.hypot(s.xyz[3 * i] - x, s.xyz[3 * i + 1] - y) < reach) return true;
  return false;
}
