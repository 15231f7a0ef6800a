import type { MeasureId } from '../../measurands/measurands.ts';
import type { SurfacePlan } from './playing-surface.ts';

/** How a side face is fitted: straight throughout, or straight up to `straightTo` and then widened; with a lean that changes along it, or not. */
export interface SidePlan {
  readonly twisted: boolean;
  /** x beyond which the face leaves its own straight line, mm; +∞ for a straight one. */
  readonly straightTo: number;
  /**
   * How the face's height grows along the board, 1/mm, of its height at the joint: a face between two straight arrises leans the less, the higher it is. 0 for one of nearly
   * the same height throughout.
   */
  readonly growth: number;
}

/** Height over the plane, mm, as a share of the face's height, times that height at the joint: a face between two straight arrises is linear in it and in x. */
export const shareOfHeight = (side: { readonly growth: number }, x: number, v: number): number =>
  side.growth === 0 ? v : v / Math.max(LEAST_SHARE, 1 + side.growth * x);

/** Produced beyond the nut, a wedge would come to nothing. */
const LEAST_SHARE = 0.2;

/** All that `gather` decides and `evaluate` keeps to: orders, parts, limits. Lengths in mm, working frame (which evaluation's frame is close to). */
export interface BoardPlan {
  readonly surface: SurfacePlan;
  /** How the board's two ends are seen; `undefined` when they are not. */
  readonly nut: 'step' | undefined;
  readonly end: 'face' | 'edge' | undefined;
  readonly bass: SidePlan | undefined;
  readonly treble: SidePlan | undefined;
  /** How the lower arrises of the free board are seen: by the rim of its underside, or as the end of the side face alone. */
  readonly rimBass: 'rim' | 'edge' | undefined;
  readonly rimTreble: 'rim' | 'edge' | undefined;
  /** Limits of the playing surface along x where an end is not seen. */
  readonly fromX: number;
  readonly toX: number;
  readonly absent: ReadonlySet<MeasureId>;
}

/** Names of the family's samples. */
export const PART = {
  surface: 'board.playingSurface',
  facet: 'board.facet',
  bass: 'board.sideBass',
  treble: 'board.sideTreble',
  nut: 'board.nutFront',
  end: 'board.end',
  rimBass: 'board.rimBass',
  rimTreble: 'board.rimTreble',
} as const;
