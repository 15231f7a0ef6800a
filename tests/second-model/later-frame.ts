import type { Body } from './body.ts';
import { belongsToA, carry, crestPoints, crossing, jointPoints, rimPoints, tailEnd, type TrueFrame } from './frame.ts';
import type { Neck } from './neck.ts';
import { applyRigid, type Rigid } from './rigid.ts';

/**
 * The baseline's datums on the later instrument, carried over by the registration (`motion` brings the later body, in the
 * baseline's frame, to the baseline's); crest, outline and the root's sides are the later instrument's own.
 */
export function carriedFrame(base: TrueFrame, baseNeck: Neck, body: Body, neck: Neck, motion: Rigid): TrueFrame {
  const { r, t } = motion;
  // row c of r·axes, and the origin that makes axes·(p − origin) the same as r·base + t
  const axes = [0, 1, 2].map((c) =>
    [0, 1, 2].map((i) => r[c * 3] * base.axes[0][i] + r[c * 3 + 1] * base.axes[1][i] + r[c * 3 + 2] * base.axes[2][i]),
  );
  const origin = base.origin.map((o, i) => o - axes[0][i] * t[0] - axes[1][i] * t[1] - axes[2][i] * t[2]);
  const to = (x: number, y: number, z: number, out: Float64Array): void => {
    base.to(x, y, z, out);
    applyRigid(motion, out[0], out[1], out[2], out);
  };
  const crest = crestPoints(body, axes[2]);
  // the same wood counts for the flatness as in the baseline
  const before = carry(crest, body.unmoved);
  const outline = carry(rimPoints(body), to);
  const joints = jointPoints(body, neck).map((j) => [...carry(Float64Array.from(j), to)]);
  return {
    axes: [axes[0], axes[1], axes[2]],
    origin,
    to,
    crest: carry(crest, to),
    inA: belongsToA(body, baseNeck, before),
    outline,
    outlineY: (x, side) => crossing(outline, x, side),
    joints: [joints[0], joints[1]],
    bodyLength: tailEnd(outline),
  };
}
