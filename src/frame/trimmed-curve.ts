import { linearLeastSquares } from '../numerics/linear-least-squares.ts';
import { quantile } from '../numerics/statistics.ts';

/** Share of the places that must lie on the curve: clamps, posts and a chin rest cover less than two fifths of a stretch. */
const ON_CURVE = 0.6;
/** Steps in which a start settles on its places; it mostly takes three or four. */
const STEPS = 8;
/** Largest deviation of a place on the curve, robust standard deviations. */
const DEVIATIONS = 4;

/**
 * Which places lie on one smooth curve, where many of them may lie on something else: the curve that most places lie on, by concentration steps from several starts. Plain
 * trimming of outliers fails here: a post at the end of a stretch draws the first fit to itself.
 *
 * @param rows  n rows of the curve's linear model
 * @param values  n values
 * @param starts  sets of indices to begin with; those too small for the model are left out
 * @param least  deviation that always counts as on the curve, unit of `values`
 * @returns n flags, or undefined when no start gives a curve
 * @see Rousseeuw and Van Driessen 2006, Computing LTS regression for large data sets (concentration steps)
 */
export function trimmedCurve(
  rows: readonly (readonly number[])[],
  values: readonly number[],
  starts: readonly (readonly number[])[],
  least: number,
): boolean[] | undefined {
  const held = Math.max(rows[0]?.length ?? 0, Math.ceil(ON_CURVE * rows.length));
  let best: Settled | undefined;
  for (const start of starts) {
    const settled = settle(rows, values, start, held, least);
    if (settled !== undefined && (best === undefined || settled.cost < best.cost)) best = settled;
  }
  if (best === undefined) return undefined;
  const spread = 1.4826 * quantile([...best.off].sort((a, b) => a - b).slice(0, held), 0.5);
  const limit = Math.max(least, DEVIATIONS * spread);
  return best.off.map((d) => d <= limit);
}

interface Settled {
  /** Σ of squared deviations, each no more than `least`². */
  readonly cost: number;
  readonly off: readonly number[];
}

function settle(
  rows: readonly (readonly number[])[],
  values: readonly number[],
  start: readonly number[],
  held: number,
  least: number,
): Settled | undefined {
  let ids = start;
  let best: Settled | undefined;
  for (let step = 0; step < STEPS; step++) {
    const fit = fitted(rows, values, ids);
    if (fit === undefined) return best;
    const off = rows.map((row, i) => Math.abs(values[i] - row.reduce((sum, v, k) => sum + v * fit[k], 0)));
    const cost = off.reduce((sum, d) => sum + Math.min(d, least) ** 2, 0);
    if (best !== undefined && cost >= best.cost) break;
    best = { cost, off };
    const order = off.map((_, i) => i).sort((a, b) => off[a] - off[b]);
    const near = order.filter((i) => off[i] <= least);
    ids = near.length >= held ? near : order.slice(0, held);
  }
  return best;
}

function fitted(rows: readonly (readonly number[])[], values: readonly number[], ids: readonly number[]): Float64Array | undefined {
  if (ids.length < (rows[0]?.length ?? 0) + 2) return undefined;
  try {
    const design = Float64Array.from(ids.flatMap((i) => [...rows[i]]));
    return linearLeastSquares(
      design,
      rows[0].length,
      ids.map((i) => values[i]),
    ).coefficients;
  } catch (error) {
    // Places too close together for the curve.
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}
