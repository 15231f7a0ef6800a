import type { DatumSamples } from '../../src/frame/datum-samples.ts';
import { SampleList, type Samples } from '../../src/geometry/samples.ts';

/** Half widths of a made-up outline at x ÷ length: smooth, wide at both bouts, 0 at neither end. */
export const halfWidth = (t: number): number => 80 + 22 * (t - 0.5) + 20 * Math.cos(4 * Math.PI * (t - 0.2));

export const LENGTH = 355;

export interface EdgeShape {
  /** Rise of the edge's plane along x and y, mm a mm, and its height at 0. */
  readonly plane: readonly [number, number, number];
  /** Line that bisects the outline: y at x = 0 and its slope. */
  readonly middle: readonly [number, number];
  /** Share of the length up to which the outline is seen, and a stretch in which it is not. */
  readonly seenTo: number;
  readonly gap: readonly [number, number];
}

export const PLAIN: EdgeShape = { plane: [0, 0, 0], middle: [0, 0], seenTo: 1, gap: [2, 3] };

/** Exact samples of an edge, and of a neck root whose sides meet the outline at x = `jointX`. */
export function edgeSamples(shape: EdgeShape, jointX = 0): DatumSamples {
  const crest = new SampleList();
  const sides = [new SampleList(), new SampleList()];
  const [c, a, b] = shape.plane;
  for (let t = 0.04; t <= Math.min(0.96, shape.seenTo); t += 0.005) {
    if (t > shape.gap[0] && t < shape.gap[1]) continue;
    const x = t * LENGTH;
    sides.forEach((list, k) => {
      const y = shape.middle[0] + shape.middle[1] * x + (k === 0 ? -1 : 1) * halfWidth(t);
      crest.add(x, y, c + a * x + b * y, 0, 0, 1, 0.01, 2);
      list.add(x, y, 0, 0, k === 0 ? -1 : 1, 0, 0.01, 1);
    });
  }
  const none = new SampleList().samples();
  return {
    crest: crest.samples(),
    crestBass: none,
    crestTreble: none,
    outlineBass: sides[0].samples(),
    outlineTreble: sides[1].samples(),
    besideNeck: besideNeck(jointX),
    besideSaddle: none,
    rootBass: rootSide(jointX, -1),
    rootTreble: rootSide(jointX, 1),
  };
}

/** Half-width of the root at the joint. */
const ROOT = 15.5;

/** An outline x = c2 (y² − root²) + jointX, so that it meets the root's sides at jointX. */
function besideNeck(jointX: number): Samples {
  const list = new SampleList();
  for (const side of [-1, 1])
    for (let y = ROOT + 5; y < ROOT + 14; y += 1.7) list.add(jointX + 0.004 * (y * y - ROOT * ROOT), side * y, -2, -1, 0, 0, 0.01, 1);
  return list.samples();
}

/** A root that narrows towards the nut by 1 in 20. */
function rootSide(jointX: number, side: 1 | -1): Samples {
  const list = new SampleList();
  for (let x = jointX - 12; x < jointX - 3; x += 1.5) list.add(x, side * (ROOT + 0.05 * (x - jointX)), -2, 0, side, 0, 0.01, 1);
  return list.samples();
}
