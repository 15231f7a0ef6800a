import { type LinearFit, linearLeastSquares } from '../../numerics/linear-least-squares.ts';
import type { Samples } from '../../geometry/samples.ts';
import { type SidePlan, shareOfHeight } from './board-plan.ts';
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
 * @param growth  of the face's height along it, 1/mm
 */
export function planSide(
  samples: Samples,
  plane: { z0: number; slope: number },
  bodyLength: number,
  endX: number,
  growth: number,
): SidePlan {
  if (samples.count < LEAST_SAMPLES) return { twisted: false, straightTo: Number.POSITIVE_INFINITY, growth };
  const straight = fit(samples, plane, growth, undefined);
  const twisted = Math.abs(straight.coefficients[3]) > LEAN_CHANGES * Math.sqrt(straight.covariance[15]);
  let best = { rss: straight.rss, from: Number.POSITIVE_INFINITY };
  for (const share of HINGES) {
    const from = share * bodyLength;
    if (endX - from < SHORTEST * bodyLength || beyond(samples, from) < LEAST_BEYOND) continue;
    const bent = fit(samples, plane, growth, from);
    if (bent.rss < best.rss && isWidened(bent, endX - from, bodyLength)) best = { rss: bent.rss, from };
  }
  return { twisted, straightTo: best.from, growth };
}

/**
 * Growths of a face's height that are tried, 1/mm × size: none, and those of wedges 0.75 to 0.3 times as high at the nut as at the joint. One counts when it fits both faces
 * better by this many units of χ², scaled by the scatter that is there.
 */
const GROWTHS = [0.002, 0.0035, 0.005];
const BETTER = 16;

/** How the height of the board's side faces grows along it, 1/mm, as their lean tells it; 0 where it tells nothing, since most boards are as high at the nut as beyond. */
export function sideGrowth(sides: readonly (Samples | undefined)[], plane: { z0: number; slope: number }, size: number): number {
  const seen = sides.filter((s) => s !== undefined).filter((s) => s.count >= LEAST_SAMPLES);
  if (seen.length === 0) return 0;
  const misfit = (growth: number): number => seen.reduce((sum, samples) => sum + fit(samples, plane, growth, undefined).rss, 0);
  const plain = misfit(0);
  const freedoms = seen.reduce((n, s) => n + s.count - COLUMNS, 0);
  let best = { growth: 0, rss: plain - BETTER * Math.max(1, plain / freedoms) };
  for (const g of GROWTHS) {
    const rss = misfit(g / size);
    if (rss < best.rss) best = { growth: g / size, rss };
  }
  return best.growth;
}

/** Columns of the straight fit. */
const COLUMNS = 4;

/** Samples beyond a hinge that its square and cube need. */
const LEAST_BEYOND = 6;

function beyond(samples: Samples, from: number): number {
  let count = 0;
  for (let i = 0; i < samples.count; i++) if (samples.xyz[3 * i] > from) count++;
  return count;
}

function isWidened(bent: LinearFit, beyond: number, bodyLength: number): boolean {
  const at = bent.coefficients[4] * beyond ** 2 + bent.coefficients[5] * beyond ** 3;
  const variance = bent.covariance[28] * beyond ** 4 + 2 * bent.covariance[29] * beyond ** 5 + bent.covariance[35] * beyond ** 6;
  return Math.abs(at) > Math.max((LEAST_WIDENING * bodyLength) / 355, SIGNIFICANT * Math.sqrt(variance));
}

/** y on 1, x, v, x·v, and with a hinge also on the square and cube of the way beyond it. */
function fit(samples: Samples, plane: { z0: number; slope: number }, growth: number, from: number | undefined): LinearFit {
  const columns = from === undefined ? 4 : 6;
  const design = new Float64Array(samples.count * columns);
  const y = new Float64Array(samples.count);
  for (let i = 0; i < samples.count; i++) {
    const x = samples.xyz[3 * i];
    const v = shareOfHeight({ growth }, x, samples.xyz[3 * i + 2] - plane.z0 - plane.slope * x);
    y[i] = samples.xyz[3 * i + 1];
    design.set([1, x, v, x * v], i * columns);
    if (from !== undefined) design.set([Math.max(0, x - from) ** 2, Math.max(0, x - from) ** 3], i * columns + 4);
  }
  return linearLeastSquares(design, columns, y, samples.u.map(sampleWeight));
}
