import type { MeasureId } from '../../measurands/measurands.ts';
import type { SurfacePlan } from './playing-surface.ts';

/** How heights on a side face are taken, so that the face is linear in them. */
export interface SideHeights {
  /** How far the place from which heights are taken lies below the plane at x, mm: nothing, or as far as the upper arris dips by crown and scoop. */
  readonly dip: (x: number) => number;
  /** The face's height at x as a share of that at the joint: a face between two arrises leans the less, the higher it is. */
  readonly share: (x: number) => number;
}

/** How a side face is fitted: straight throughout, or straight up to `straightTo` and then widened; with a lean that changes along it, or not. */
export interface SidePlan extends SideHeights {
  readonly twisted: boolean;
  /** x beyond which the face leaves its own straight line, mm; +∞ for a straight one. */
  readonly straightTo: number;
}

/** Height over the plane, mm, as the height in which a side face is linear. */
export const heightOnSide = (side: SideHeights, x: number, overPlane: number): number =>
  (overPlane + side.dip(x)) / Math.max(LEAST_SHARE, side.share(x));

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
