import { quantile } from '../numerics/statistics.ts';
import type { FoundInstrument } from './find-instrument.ts';
import type { Proportions } from './unit-and-class.ts';

/** Shallower than any body, so only one plate is seen; share of body length. */
const LEAST_DEPTH = 0.06;
/** Where the board stands over the joint, shares of body length: along from it to either side, height over the top's edge, farthest from the middle. */
const BOARD_ZONE = { along: 0.034, from: 0.014, to: 0.068, across: 0.085 };
/** Fewest thinned points for a width. */
const FEWEST = 20;
/** The width is where the outermost three in a hundred points begin: arrises are rounded, strays are few. */
const OUTERMOST = 0.97;

/** Proportions of a found instrument that tell the classes apart; NaN for what the scan does not show. */
export function proportions(found: FoundInstrument): Proportions {
  const p = found.thinned.positions;
  const halfWidths: number[] = [];
  for (let i = 0; i < p.length; i += 3) {
    const [x, y, z] = [p[i] / found.bodyLength, Math.abs(p[i + 1]) / found.bodyLength, p[i + 2] / found.bodyLength];
    if (Math.abs(x) < BOARD_ZONE.along && y < BOARD_ZONE.across && z > BOARD_ZONE.from && z < BOARD_ZONE.to) halfWidths.push(y);
  }
  return {
    depth: found.bodyDepth > LEAST_DEPTH ? found.bodyDepth : NaN,
    boardWidth: halfWidths.length < FEWEST ? NaN : 2 * quantile(halfWidths, OUTERMOST),
  };
}
