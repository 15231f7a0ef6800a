import type { Workpiece } from '../family.ts';
import { CORE_TERMS } from './choose-terms.ts';
import type { SurfacePlan } from './playing-surface.ts';
import type { RoughExtent } from './rough-extent.ts';
import { type RoughSurface, roughHeight } from './rough-surface.ts';
import type { SideFace } from './side-faces.ts';
import type { SurfaceBounds } from './surface-members.ts';

/** Rounded arrises are left out of the playing surface: mm for a board 42 mm wide at its end (as for the radius). */
const ARRIS_MARGIN = 1.6;
/** Stretches at nut and end that are left out of the playing surface, mm × size: glue, the nut's foot, a rounded end. */
const NUT_MARGIN = 0.8;
const END_MARGIN = 1.2;
/** Half-width of the playing surface where no side face is seen, mm × size. */
const BLIND_HALF = 9;

/** The plane, circle and centreline that the surface is described on. */
export function planSurface(
  work: Workpiece,
  rough: RoughSurface,
  extent: RoughExtent,
  bass: SideFace | undefined,
  treble: SideFace | undefined,
): SurfacePlan {
  const { nutX, endX } = extent;
  const both = bass !== undefined && treble !== undefined;
  const centre0 = both ? (bass.y0 + treble.y0) / 2 : 0;
  const centreSlope = both ? (bass.slope + treble.slope) / 2 : 0;
  const crown = (x: number): number => roughHeight(rough, x, centre0 + centreSlope * x);
  const slope = (crown(endX) - crown(nutX)) / (endX - nutX);
  const curvature = 1 / rough.radius - 2 * rough.coefficients[7];
  return {
    z0: crown(nutX) - slope * nutX,
    slope,
    radius: 1 / curvature,
    centre0,
    centreSlope,
    midX: (nutX + endX) / 2,
    halfLength: (endX - nutX) / 2,
    halfWidth: both ? (treble.y0 - bass.y0 + (treble.slope - bass.slope) * endX) / 2 : BLIND_HALF * work.size,
    terms: CORE_TERMS,
  };
}

/** Where the playing surface is looked for: inside the arrises, away from nut and end. */
export function surfaceBounds(
  work: Workpiece,
  plan: SurfacePlan,
  extent: RoughExtent,
  bass: SideFace | undefined,
  treble: SideFace | undefined,
): SurfaceBounds {
  const margin = (ARRIS_MARGIN * plan.halfWidth) / 21;
  return {
    fromX: extent.nutX + NUT_MARGIN * work.size,
    toX: extent.endX - END_MARGIN * work.size,
    half:
      bass !== undefined && treble !== undefined
        ? (x) => (treble.y0 - bass.y0 + (treble.slope - bass.slope) * x) / 2 - margin
        : () => BLIND_HALF * work.size,
  };
}
