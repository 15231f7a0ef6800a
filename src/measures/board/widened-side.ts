import { linearLeastSquares } from '../../numerics/linear-least-squares.ts';
import type { Samples } from '../samples.ts';
import { sampleWeight } from './evaluate-board.ts';

/** Where a widening may begin, body lengths beyond the joint. */
const HINGES = [0, 0.05, 0.1, 0.15, 0.2];
/** Widening at the board's end that counts, mm × size, and in standard uncertainties: less is the scan's long-wave error. */
const LEAST_WIDENING = 0.15;
const SIGNIFICANT = 5;

/**
 * Whether a side face leaves its own straight line towards the bridge: the hinge that fits best, with a square and a cube of the way beyond it.
 *
 * @param plane  z0 and slope of the plane over which heights are taken
 * @returns the x where it begins, mm; +∞ for a straight side
 */
export function widenedFrom(samples: Samples, plane: { z0: number; slope: number }, bodyLength: number, endX: number): number {
  if (samples.count < 30) return Number.POSITIVE_INFINITY;
  const y = Float64Array.from({ length: samples.count }, (_, i) => samples.xyz[3 * i + 1]);
  const weights = samples.u.map(sampleWeight);
  const straight = fit(samples, y, weights, plane, undefined);
  let best = { rss: straight.rss, from: Number.POSITIVE_INFINITY };
  for (const share of HINGES) {
    const from = share * bodyLength;
    if (endX - from < 0.1 * bodyLength) continue;
    const bent = fit(samples, y, weights, plane, from);
    if (bent.rss >= best.rss) continue;
    const beyond = endX - from;
    const [c2, c3] = [bent.coefficients[4], bent.coefficients[5]];
    const at = c2 * beyond ** 2 + c3 * beyond ** 3;
    const variance = bent.covariance[28] * beyond ** 4 + 2 * bent.covariance[29] * beyond ** 5 + bent.covariance[35] * beyond ** 6;
    if (Math.abs(at) > Math.max((LEAST_WIDENING * bodyLength) / 355, SIGNIFICANT * Math.sqrt(variance))) best = { rss: bent.rss, from };
  }
  return best.from;
}

function fit(samples: Samples, y: Float64Array, weights: Float64Array, plane: { z0: number; slope: number }, from: number | undefined) {
  const columns = from === undefined ? 4 : 6;
  const design = new Float64Array(samples.count * columns);
  for (let i = 0; i < samples.count; i++) {
    const x = samples.xyz[3 * i];
    const v = samples.xyz[3 * i + 2] - plane.z0 - plane.slope * x;
    design.set([1, x, v, x * v], i * columns);
    if (from !== undefined) {
      const beyond = Math.max(0, x - from);
      design.set([beyond ** 2, beyond ** 3], i * columns + 4);
    }
  }
  return linearLeastSquares(design, columns, y, weights);
}
