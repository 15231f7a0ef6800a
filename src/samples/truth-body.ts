import type { Values } from './truth-board.ts';
import { sidesAt } from './truth-frame.ts';
import type { FramedSurface } from './truth-surface.ts';

/** Step along the body at which widths and heights are read, mm. */
const STEP = 0.25;

/** Lengths, widths, arching and flatness of the body by their definitions. */
export function bodyTruth(surface: FramedSurface): { values: Values; secondary: Values } {
  const { instrument, frame } = surface;
  const { body } = instrument;
  const L = frame.bodyLength;
  let upper = 0;
  let waist = Infinity;
  let lower = 0;
  let arch = -Infinity;
  for (let x = 0.03 * L; x < 0.98 * L; x += STEP) {
    const sides = sidesAt(frame.outline, x);
    if (!sides) continue;
    const w = sides.treble - sides.bass;
    if (x < 0.32 * L) upper = Math.max(upper, w);
    else if (x > 0.65 * L) lower = Math.max(lower, w);
    else if (x > 0.42 * L && x < 0.55 * L) waist = Math.min(waist, w);
  }
  for (let x = 0.15 * L; x < 0.85 * L; x += 0.5) arch = Math.max(arch, surface.topAt(x, 0));
  let [n, sum, high, low] = [0, 0, -Infinity, Infinity];
  for (let i = 0; i < frame.inPlane.length; i++) {
    if (!frame.inPlane[i]) continue;
    const z = frame.crest[3 * i + 2];
    n++;
    sum += z * z;
    high = Math.max(high, z);
    low = Math.min(low, z);
  }
  const notches = body.fHoles.map((h) =>
    surface.bodyPoint(h.innerNotch[0], h.innerNotch[1], body.topZ(h.innerNotch[0], h.innerNotch[1], body.edgeDistance(...h.innerNotch))),
  );
  return {
    values: {
      bodyLength: L,
      widthUpper: upper,
      widthWaist: waist,
      widthLower: lower,
      archHeight: arch,
      edgeFlatnessRms: Math.sqrt(sum / n),
      edgeFlatnessPV: high - low,
    },
    secondary: {
      stopBass: notches[0][0],
      stopTreble: notches[1][0],
      notchOffset: (notches[0][1] + notches[1][1]) / 2,
      ribHeightUpper: ribHeight(surface, 0.05 * L),
      ribHeightLower: ribHeight(surface, 0.95 * L),
    },
  };
}

/** Underside of the top's overhang to the upper side of the back's, along z, mean of both sides. */
function ribHeight(surface: FramedSurface, x: number): number {
  const { body } = surface.instrument;
  const [bass, treble] = surface.frame.joints;
  const joint = (bass[0] + treble[0]) / 2;
  const at = x - joint + 1;
  const d = body.spec.overhang;
  const a = surface.bodyPoint(at, 0, body.topUnderZ(at, 0, d));
  const b = surface.bodyPoint(at, 0, body.backUpperZ(at, 0, d));
  return a[2] - b[2];
}
