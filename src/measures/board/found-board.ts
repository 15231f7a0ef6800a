import type { Samples } from '../../geometry/samples.ts';
import type { BoardEnd } from './end-face.ts';
import type { LowerEdge } from './lower-edge.ts';
import type { LowerRim } from './lower-rim.ts';
import type { RoughExtent } from './rough-extent.ts';
import type { SideFace } from './side-faces.ts';
import type { SurfaceMembers } from './surface-members.ts';

/** Everything found on the board, before it becomes samples. */
export interface FoundBoard {
  readonly extent: RoughExtent;
  readonly bass: SideFace | undefined;
  readonly treble: SideFace | undefined;
  readonly surface: SurfaceMembers;
  readonly nut: Samples | undefined;
  readonly end: BoardEnd | undefined;
  readonly rimBass: LowerRim | undefined;
  readonly rimTreble: LowerRim | undefined;
  /** Only looked for where the rim is not seen. */
  readonly edgeBass: LowerEdge | undefined;
  readonly edgeTreble: LowerEdge | undefined;
}
