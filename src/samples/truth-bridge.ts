import { saddleTop } from './body-mesh.ts';
import { bridgeCrown, bridgeSection, bridgeStation } from './string-lines.ts';
import type { BoardTruth, Values } from './truth-board.ts';
import type { FramedSurface } from './truth-surface.ts';
import { applyToPoint } from '../geometry/motion.ts';

const DEGREES = 180 / Math.PI;

/** Strings and bridge by their definitions, for an instrument that wears a bridge. */
export function bridgeTruth(surface: FramedSurface, board: BoardTruth): Values {
  const { instrument } = surface;
  const { motion } = surface.frame;
  const x = bridgeStation(instrument);
  // The crown, the middle of the bridge's upper edge, where the board's centreline, produced, passes over it.
  const crownAt = (across: number) => {
    const [dy, z] = bridgeCrown(instrument, across);
    const [tail, thick] = bridgeSection(instrument, z, 1);
    return applyToPoint(motion, [tail - thick / 2, dy, z]);
  };
  let y = 0;
  let crown = crownAt(y);
  for (let k = 0; k < 10; k++) {
    y -= crown[1] - (board.centre.at0 + board.centre.slope * crown[0]);
    crown = crownAt(y);
  }
  const lean = instrument.spec.fittings.bridgeLean;
  const feet = applyToPoint(motion, [x, ...bridgeCrown(instrument, y)]);
  const top = surface.topAt(feet[0], crown[1]);
  const nutX = -board.values.neckLength * Math.cos(Math.atan(board.line.slope));
  const nutZ = board.line.z0 + board.line.slope * nutX;
  const saddle = applyToPoint(motion, saddleTop(instrument.spec.body.outline.length));
  const nutY = board.centre.at0 + board.centre.slope * nutX;
  return {
    bridgeHeight: crown[2] - top,
    bridgeLean: lean * DEGREES,
    stringAngle: angleAt(crown, [nutX, nutY, nutZ], saddle),
    stringLength: Math.hypot(crown[0] - nutX, crown[1] - nutY, crown[2] - nutZ),
  };
}

/** Angle at `p` between the directions to a and b, degrees. */
function angleAt(p: readonly number[], a: readonly number[], b: readonly number[]): number {
  const u = a.map((v, k) => v - p[k]);
  const w = b.map((v, k) => v - p[k]);
  return Math.acos(u.reduce((s, v, k) => s + v * w[k], 0) / (Math.hypot(...u) * Math.hypot(...w))) * DEGREES;
}
