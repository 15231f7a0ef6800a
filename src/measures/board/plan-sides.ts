import type { Samples } from '../../geometry/samples.ts';
import type { Workpiece } from '../family.ts';
import type { SidePlan } from './board-plan.ts';
import { sampleWeight } from './evaluate-board.ts';
import { planSide } from './plan-side.ts';
import { fitSurface, heightFunction, type SurfacePlan } from './playing-surface.ts';
import type { RoughExtent } from './rough-extent.ts';
import type { SideFace } from './side-faces.ts';
import { FLAT, sideHeights } from './side-heights.ts';

type Sides<T> = readonly [bass: T, treble: T];

/** Decides how both side faces are fitted: how far they are straight, and from where their heights are taken. */
export function planSides(
  [bass, treble]: Sides<SideFace | undefined>,
  [ofBass, ofTreble]: Sides<Samples | undefined>,
  surface: SurfacePlan,
  playing: Samples,
  work: Workpiece,
  extent: RoughExtent,
): Sides<SidePlan | undefined> {
  const { coefficients } = fitSurface(surface, playing.xyz, playing.u.map(sampleWeight));
  const height = heightFunction(surface, coefficients);
  const dipOf =
    (face: SideFace | undefined) =>
    (x: number): number =>
      face === undefined ? 0 : surface.z0 + surface.slope * x - height(x, face.y0 + face.slope * x);
  const seen = [
    { face: bass, samples: ofBass },
    { face: treble, samples: ofTreble },
  ].map(({ face, samples }) => {
    const straightTo =
      samples === undefined ? Number.POSITIVE_INFINITY : planSide(samples, surface, work.bodyLength, extent.endX, FLAT).straightTo;
    return { face, samples, dip: dipOf(face), straightTo };
  });
  const heights = sideHeights(seen, surface, work.size, { from: extent.nutX, to: extent.endX });
  const [b, t] = seen.map(({ face, samples }, k) =>
    face === undefined || samples === undefined ? undefined : planSide(samples, surface, work.bodyLength, extent.endX, heights[k]),
  );
  return [b, t];
}
