import { choleskyInPlace, choleskySolve } from '../../numerics/cholesky.ts';
import type { Samples } from '../../geometry/samples.ts';
import { fitSurface, heightFunction, surfaceBase, type SurfacePlan, surfaceRow, type SurfaceTerm } from './playing-surface.ts';

const grid = (furthest: readonly number[]): readonly SurfaceTerm[] =>
  furthest.flatMap((last, across) => Array.from({ length: last + 1 }, (_, along) => ({ along, across })));

/** Highest degree along the board, by power across: what every board may show (a scoop that is not symmetrical, deeper on one side) and the most. */
const CORE = [3, 2, 3];
/** Highest degree along a board that is scooped and no more. */
export const USUAL_DEGREE = 6;
const FURTHEST = [USUAL_DEGREE, 4, 4, 2, 2];
/** And on a board that a warped neck took along. */
const FURTHEST_WARPED = [9, ...FURTHEST.slice(1)];
export const CORE_TERMS = grid(CORE);
/** What a board shows whose neck warped and took it along, besides. */
export const WARPED_TERMS = grid([9, 3, 3]);
const ALL_TERMS = grid(FURTHEST);
const ALL_TERMS_WARPED = grid(FURTHEST_WARPED);
/** What a sparsely seen board still gives: a plane with a scoop and a radius. */
const FEWEST_TERMS = grid([2, 1, 0]);
/** Samples per term below which the core is given up. */
const SAMPLES_PER_TERM = 5;

/** Drop in χ² per further term that white noise does not explain (1 in 5000), and the amplitude worth a term, mm. */
const LEAST_DROP = 14;
const LEAST_AMPLITUDE = 0.006;
/** Blocks over which residuals of the richest model are averaged to see noise that does not average out, in half-lengths and half-widths. */
const BLOCK = { along: 0.22, across: 0.6 } as const;

/**
 * The lowest set of terms that fits: one term after the other is taken, the best first, as long as χ² falls by more than white noise and the
 * long-wave noise left in the residuals of the richest model explain. Fewer terms mean less of the upward bias that a supporting line has on noise.
 *
 * @param plan  its `terms` are ignored
 * @param samples  of the round part of the surface
 */
export function chooseTerms(plan: SurfacePlan, samples: Samples, warped = false): readonly SurfaceTerm[] {
  const most = warped ? FURTHEST_WARPED : FURTHEST;
  const all = warped ? ALL_TERMS_WARPED : ALL_TERMS;
  if (samples.count < SAMPLES_PER_TERM * all.length) {
    return samples.count < SAMPLES_PER_TERM * CORE_TERMS.length ? FEWEST_TERMS : CORE_TERMS;
  }
  const weights = samples.u.map((u) => 1 / (u * u));
  const inflation = longWaveInflation({ ...plan, terms: all }, samples, weights);
  const normal = normalEquations({ ...plan, terms: all }, samples, weights);
  const furthest = [...CORE, ...most.slice(CORE.length).map(() => -1)];
  let now = solveSubset(normal, all, furthest);
  for (;;) {
    let best: { across: number; further: number; fit: Subset; drop: number } | undefined;
    for (const { across, further } of steps(furthest, most)) {
      const fit = solveSubset(
        normal,
        all,
        furthest.map((f, k) => (k === across ? f + further : f)),
      );
      const drop = (now.rss - fit.rss) / further;
      if (
        drop > LEAST_DROP * inflation &&
        amplitudeOf(fit, all, across, furthest[across] + further) > LEAST_AMPLITUDE &&
        drop > (best?.drop ?? 0)
      ) {
        best = { across, further, fit, drop };
      }
    }
    if (best === undefined) return grid(furthest);
    furthest[best.across] += best.further;
    now = best.fit;
  }
}

/** For each power across the next degree along, and the next two together (a scoop steeper at both ends has no odd term). */
function steps(furthest: readonly number[], most: readonly number[]): { across: number; further: number }[] {
  return furthest.flatMap((f, across) => [1, 2].filter((further) => f + further <= most[across]).map((further) => ({ across, further })));
}

interface Normal {
  readonly gram: Float64Array;
  readonly right: Float64Array;
  readonly squares: number;
}

interface Subset {
  readonly rss: number;
  readonly terms: readonly number[];
  readonly coefficients: Float64Array;
}

function normalEquations(plan: SurfacePlan, samples: Samples, weights: Float64Array): Normal {
  const n = plan.terms.length;
  const gram = new Float64Array(n * n);
  const right = new Float64Array(n);
  const row = new Float64Array(n);
  let squares = 0;
  for (let i = 0; i < samples.count; i++) {
    const x = samples.xyz[3 * i];
    const y = samples.xyz[3 * i + 1];
    const v = samples.xyz[3 * i + 2] - surfaceBase(plan, x, y);
    surfaceRow(plan, x, y, row);
    for (let j = 0; j < n; j++) {
      const w = weights[i] * row[j];
      for (let k = 0; k < n; k++) gram[j * n + k] += w * row[k];
      right[j] += w * v;
    }
    squares += weights[i] * v * v;
  }
  return { gram, right, squares };
}

/** Smallest pivot, relative to the diagonal, that still tells terms apart. */
const LEAST_PIVOT = 1e-10;

/** Least squares with the first `furthest[j]` + 1 terms of each power across; an infinite sum of squares where they cannot be told apart. */
function solveSubset(normal: Normal, from: readonly SurfaceTerm[], furthest: readonly number[]): Subset {
  const all = normal.right.length;
  const terms = from.flatMap((t, k) => (t.along <= furthest[t.across] ? [k] : []));
  const n = terms.length;
  const a = new Float64Array(n * n);
  const scale = terms.map((k) => 1 / Math.sqrt(normal.gram[k * all + k]));
  for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) a[i * n + j] = normal.gram[terms[i] * all + terms[j]] * scale[i] * scale[j];
  const b = Float64Array.from(terms, (k, i) => normal.right[k] * scale[i]);
  if (!(choleskyInPlace(a, n, LEAST_PIVOT) > LEAST_PIVOT))
    return { rss: Number.POSITIVE_INFINITY, terms, coefficients: new Float64Array(n) };
  const solved = choleskySolve(a, n, b);
  let explained = 0;
  for (let i = 0; i < n; i++) explained += solved[i] * b[i];
  return { rss: normal.squares - explained, terms, coefficients: solved.map((c, i) => c * scale[i]) };
}

function amplitudeOf(fit: Subset, from: readonly SurfaceTerm[], across: number, along: number): number {
  const k = fit.terms.findIndex((t) => from[t].across === across && from[t].along === along);
  return Math.abs(fit.coefficients[k]);
}

/** How much larger than white noise alone says the means of blocks of residuals are; 1 for white noise. */
export function longWaveInflation(plan: SurfacePlan, samples: Samples, weights: Float64Array): number {
  const { coefficients } = fitSurface(plan, samples.xyz, weights);
  const height = heightFunction(plan, coefficients);
  const blocks = new Map<number, { sum: number; weight: number }>();
  for (let i = 0; i < samples.count; i++) {
    const x = samples.xyz[3 * i];
    const y = samples.xyz[3 * i + 1];
    const t = y - plan.centre0 - plan.centreSlope * x;
    const key = Math.floor((x - plan.midX) / (BLOCK.along * plan.halfLength)) * 64 + Math.floor(t / (BLOCK.across * plan.halfWidth));
    const b = blocks.get(key) ?? { sum: 0, weight: 0 };
    b.sum += weights[i] * (samples.xyz[3 * i + 2] - height(x, y));
    b.weight += weights[i];
    blocks.set(key, b);
  }
  let squares = 0;
  for (const b of blocks.values()) squares += (b.sum * b.sum) / b.weight;
  return Math.max(1, squares / Math.max(1, blocks.size - plan.terms.length / 2));
}
