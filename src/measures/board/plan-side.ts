import { type LinearFit, linearLeastSquares } from '../../numerics/linear-least-squares.ts';
import type { Samples } from '../../geometry/samples.ts';
import { heightOnSide, type SideHeights, type SidePlan } from './board-plan.ts';
import type { BoardLine } from '../family.ts';
import { sampleWeight } from './evaluate-board.ts';

/** Where a widening may begin, body lengths beyond the joint, and the shortest stretch that shows it. */
const HINGES = [0, 0.05, 0.1, 0.15, 0.2];
const SHORTEST = 0.1;
/** Widening at the board's end that counts, mm for a body of 355 mm, and in standard uncertainties: less is the scan's long-wave error. */
const LEAST_WIDENING = 0.15;
const SIGNIFICANT = 5;
/** Samples below which a side is taken as straight, and standard uncertainties at which its lean is seen to change along it. */
export const LEAST_SAMPLES = 30;
const LEAN_CHANGES = 3;

/**
 * Decides how a side face is fitted: whether its lean changes along the board, and whether it leaves its own straight line towards the bridge
 * (the hinge that fits best, with a square and a cube of the way beyond it).
 */
export function planSide(samples: Samples, plane: BoardLine, bodyLength: number, endX: number, heights: SideHeights): SidePlan {
  if (samples.count < LEAST_SAMPLES) return { twisted: false, straightTo: Number.POSITIVE_INFINITY, ...heights };
  const straight = fit(samples, plane, heights, undefined);
  const twisted = Math.abs(straight.coefficients[3]) > LEAN_CHANGES * Math.sqrt(straight.covariance[15]);
  let best = { rss: straight.rss, from: Number.POSITIVE_INFINITY };
  for (const share of HINGES) {
    const from = share * bodyLength;
    if (endX - from < SHORTEST * bodyLength || beyond(samples, from) < LEAST_BEYOND) continue;
    const bent = fit(samples, plane, heights, from);
    if (bent.rss < best.rss && isWidened(bent, endX - from, bodyLength)) best = { rss: bent.rss, from };
  }
  return { twisted, straightTo: best.from, ...heights };
}

/** Columns of the straight fit. */
export const STRAIGHT_COLUMNS = 4;

/** χ² of a side face whose lean may change along it, straight throughout or as far as `straightTo`. */
export const misfitOfSide = (samples: Samples, plane: BoardLine, heights: SideHeights, straightTo: number): number =>
  fit(samples, plane, heights, Number.isFinite(straightTo) ? straightTo : undefined).rss;

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
function fit(samples: Samples, plane: BoardLine, heights: SideHeights, from: number | undefined): LinearFit {
  const columns = from === undefined ? 4 : 6;
  const design = new Float64Array(samples.count * columns);
  const y = new Float64Array(samples.count);
  for (let i = 0; i < samples.count; i++) {
    const x = samples.xyz[3 * i];
    const v = heightOnSide(heights, x, samples.xyz[3 * i + 2] - plane.z0 - plane.slope * x);
    y[i] = samples.xyz[3 * i + 1];
    design.set([1, x, v, x * v], i * columns);
    if (from !== undefined) design.set([Math.max(0, x - from) ** 2, Math.max(0, x - from) ** 3], i * columns + 4);
  }
  return linearLeastSquares(design, columns, y, samples.u.map(sampleWeight));
}
