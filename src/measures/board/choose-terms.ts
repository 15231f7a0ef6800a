import { fitSurface, heightFunction, type SurfacePlan, type SurfaceTerm } from './playing-surface.ts';
import type { Samples } from '../samples.ts';

/** Every board has these: a plane, a scoop that differs from side to side, a radius that changes along it. */
export const CORE_TERMS: readonly SurfaceTerm[] = [0, 1, 2].flatMap((across) => [0, 1, 2].map((along) => ({ along, across })));

/** Terms that are added when the scan shows them; within one power across, in this order along. */
const FURTHEST_ALONG = [6, 4, 4, 2, 2];
export const ALL_TERMS: readonly SurfaceTerm[] = FURTHEST_ALONG.flatMap((last, across) =>
  Array.from({ length: last + 1 }, (_, along) => ({ along, across })),
);

/** Drop in χ² that one further term must bring, per term, where the noise is white. */
const LEAST_DROP = 14;
/** Smallest amplitude worth a term, mm: a lower one moves no measurand by as much. */
const LEAST_AMPLITUDE = 0.008;
/** Blocks over which the residuals of the richest model are averaged to see noise that does not average out, cells. */
const BLOCK = { along: 30, across: 12 } as const;

/**
 * The lowest set of terms that fits: one term after the other is taken, the best first, as long as χ² falls by more than white noise and the
 * long-wave noise left in the residuals of the richest model explain. Fewer terms mean less of the upward bias that a supporting line has on noise.
 *
 * @param plan  its `terms` are ignored
 */
export function chooseTerms(plan: SurfacePlan, samples: Samples): readonly SurfaceTerm[] {
  const weights = samples.u.map((u) => 1 / (u * u));
  const inflation = longWaveInflation({ ...plan, terms: ALL_TERMS }, samples, weights);
  let terms = [...CORE_TERMS];
  let { rss } = fitSurface({ ...plan, terms }, samples.xyz, weights);
  for (;;) {
    let best: { terms: SurfaceTerm[]; rss: number; drop: number } | undefined;
    for (const candidate of nextTerms(terms)) {
      const wider = [...terms, ...candidate];
      const fit = fitSurface({ ...plan, terms: wider }, samples.xyz, weights);
      const amplitude = Math.max(...candidate.map((_, k) => Math.abs(fit.coefficients[terms.length + k])));
      const drop = (rss - fit.rss) / candidate.length;
      if (drop > LEAST_DROP * inflation && amplitude > LEAST_AMPLITUDE && drop > (best?.drop ?? 0)) best = { terms: wider, rss: fit.rss, drop };
    }
    if (best === undefined) return terms;
    terms = best.terms;
    rss = best.rss;
  }
}

/** For each power across the next degree along, and the next two together (a scoop steeper at both ends has no odd term). */
function nextTerms(terms: readonly SurfaceTerm[]): SurfaceTerm[][] {
  const sets: SurfaceTerm[][] = [];
  FURTHEST_ALONG.forEach((last, across) => {
    const next = terms.filter((t) => t.across === across).length;
    if (next <= last) sets.push([{ along: next, across }]);
    if (next + 1 <= last) sets.push([{ along: next, across }, { along: next + 1, across }]);
  });
  return sets;
}

/** How much larger than white noise alone says the means of blocks of residuals are; 1 for white noise. */
function longWaveInflation(plan: SurfacePlan, samples: Samples, weights: Float64Array): number {
  const blocks = new Map<number, { sum: number; weight: number }>();
  const fit = residuals(plan, samples, weights);
  for (let i = 0; i < samples.count; i++) {
    const key = Math.floor(samples.xyz[3 * i] / BLOCK.along) * 64 + Math.floor(samples.xyz[3 * i + 1] / BLOCK.across);
    const b = blocks.get(key) ?? { sum: 0, weight: 0 };
    b.sum += weights[i] * fit[i];
    b.weight += weights[i];
    blocks.set(key, b);
  }
  let squares = 0;
  for (const b of blocks.values()) squares += (b.sum * b.sum) / b.weight;
  return Math.max(1, squares / Math.max(1, blocks.size - plan.terms.length / 2));
}

function residuals(plan: SurfacePlan, samples: Samples, weights: Float64Array): Float64Array {
  const { coefficients } = fitSurface(plan, samples.xyz, weights);
  const height = heightFunction(plan, coefficients);
  return Float64Array.from({ length: samples.count }, (_, i) => samples.xyz[3 * i + 2] - height(samples.xyz[3 * i], samples.xyz[3 * i + 1]));
}
