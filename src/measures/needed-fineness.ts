import type { Cloud } from '../geometry/cloud.ts';
import type { MeasureId } from '../measurands/measurands.ts';
import { weightedMedian } from '../numerics/statistics.ts';

/**
 * Spacing of points, mm × size, that the smallest feature of a measure needs: two or three rows of points over it. Side faces of a board are 4–6 mm high, an edge's overhang and crest 2–3 mm wide, a heel's contour and the
 * nut 15–20 mm long, the roundover of a joint some 5 mm; an arch and the back of a neck are smooth over twice that.
 */
const FACE = 2;
const SMOOTH = 3;
const NEEDED: Partial<Record<MeasureId, number>> = {
  overstand: FACE,
  overstandBass: FACE,
  overstandTreble: FACE,
  boardTilt: FACE,
  bedAngle: FACE,
  boardWedge: FACE,
  boardEdgeEnd: FACE,
  boardTwist: FACE,
  boardWidthNut: FACE,
  boardWidthEnd: FACE,
  heelHeight: FACE,
  heelLean: FACE,
  heelBow: FACE,
  ribHeightUpper: FACE,
  ribHeightLower: FACE,
  neckLength: FACE,
  stopRatio: FACE,
  bodyLength: FACE,
  boardLength: FACE,
  neckAngle: SMOOTH,
  projection: SMOOTH,
  boardEndHeight: SMOOTH,
  boardOffset: SMOOTH,
  boardYaw: SMOOTH,
  boardRadiusNut: SMOOTH,
  boardRadiusEnd: SMOOTH,
  scoopBass: SMOOTH,
  scoopCentre: SMOOTH,
  scoopTreble: SMOOTH,
  neckThicknessNut: SMOOTH,
  neckThicknessHeel: SMOOTH,
  archHeight: SMOOTH,
};
/** Noise of a point, mm × size, beyond which faces of 4 mm are not told from what they meet: a tenth of them. */
const QUIET = 0.4;

/** How fine a scan is. */
export interface Fineness {
  /** Spacing of points over most of the surface, or edge of the facets, mm. */
  readonly spacing: number;
  /** mm. */
  readonly sigma: number;
  /** Body length ÷ 355 mm. */
  readonly size: number;
}

/** What a scan would have to be for a measure that it lacks; empty where fineness is not what it lacks. */
export function neededFineness(id: MeasureId, { spacing, sigma, size }: Fineness): string {
  const needed = NEEDED[id];
  if (needed === undefined) return '';
  const wanted = [
    ...(spacing > needed * size ? [`spacing ${spacing.toFixed(1)} mm, this needs ${(needed * size).toFixed(0)} mm or finer`] : []),
    ...(sigma > QUIET * size ? [`noise ${sigma.toFixed(2)} mm, this needs ${(QUIET * size).toFixed(1)} mm or less`] : []),
  ];
  return wanted.map((w) => `; ${w}`).join('');
}

/** Points that the spacing is read from. */
const LOOKED_AT = 5000;

/** Spacing over half of the surface, mm: the median point lies where points are dense. */
export function spacingOverSurface({ areas, count }: Cloud): number {
  const every = Math.max(1, Math.floor(count / LOOKED_AT));
  const some = areas.filter((area, i) => i % every === 0 && area > 0);
  return some.length > 0 ? Math.sqrt(weightedMedian(some, some)) : 0;
}
