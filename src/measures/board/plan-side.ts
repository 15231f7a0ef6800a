import { type LinearFit, linearLeastSquares } from '../../numerics/linear-least-squares.ts';
import type { Samples } from '../../geometry/samples.ts';
import type { SidePlan } from './board-plan.ts';
import { sampleWeight } from './evaluate-board.ts';

/** Where a widening may begin, body lengths beyond the joint, and the shortest stretch that shows it. */
const HINGES = [0, 0.05, 0.1, 0.15, 0.2];
const SHORTEST = 0.1;
/** Widening at the board's end that counts, mm for a body of 355 mm, and in standard uncertainties: less is the scan's long-wave error. */
const LEAST_WIDENING = 0.15;
const SIGNIFICANT = 5;
/** Samples below which a side is taken as straight, and standard uncertainties at which its lean is seen to change along it. */
const LEAST_SAMPLES = 30;
const LEAN_CHANGES = 3;

/**
 * Decides how a side face is fitted: whether its lean changes along the board, and whether it leaves its own straight line towards the bridge
 * (the hinge that fits best, with a square and a cube of the way beyond it).
 *
 * @param plane  z0 and slope of the plane over which heights are taken
 */
export function planSide(samples: Samples, plane: { z0: number; slope: number }, bodyLength: number, endX: number): SidePlan {
  if (samples.count < LEAST_SAMPLES) return { twisted: false, straightTo: Number.POSITIVE_INFINITY };
  const straight = fit(samples, plane, undefined);
  const twisted = Math.abs(straight.coefficients[3]) > LEAN_CHANGES * Math.sqrt(straight.covariance[15]);
  let best = { rss: straight.rss, from: Number.POSITIVE_INFINITY };
  for (const share of HINGES) {
    const from = share * bodyLength;
    if (endX - from < SHORTEST * bodyLength) continue;
    const bent = fit(samples, plane, from);
    if (bent.rss < best.rss && isWidened(bent, endX - from, bodyLength)) best = { rss: bent.rss, from };
  }
  return { twisted, straightTo: best.from };
}

function isWidened(bent: LinearFit, beyond: number, bodyLength: number): boolean {
  const at = bent.coefficients[4] * beyond ** 2 + bent.coefficients[5] * beyond ** 3;
  const variance = bent.covariance[28] * beyond ** 4 + 2 * bent.covariance[29] * beyond ** 5 + bent.covariance[35] * beyond ** 6;
  return Math.abs(at) > Math.max((LEAST_WIDENING * bodyLength) / 355, SIGNIFICANT * Math.sqrt(variance));
}

/** y on 1, x, v, x·v, and with a hinge also on the square and cube of the way beyond it. */
function fit(samples: Samples, plane: { z0: number; slope: number }, from: number | undefined): LinearFit {
  const columns = from === undefined ? 4 : 6;
  const design = new Float64Array(samples.count * columns);
  const y = new Float64Array(samples.count);
  for (let i = 0; i < samples.count; i++) {
    const x = samples.xyz[3 * i];
    const v = samples.xyz[3 * i + 2] - plane.z0 - plane.slope * x;
    y[i] = samples.xyz[3 * i + 1];
    design.set([1, x, v, x * v], i * columns);
    if (from !== undefined) design.set([Math.max(0, x - from) ** 2, Math.max(0, x - from) ** 3], i * columns + 4);
  }
  return linearLeastSquares(design, columns, y, samples.u.map(sampleWeight));
}
