import type { Samples } from '../../geometry/samples.ts';
import { selectSamples } from './select-samples.ts';
import { CORE_TERMS } from './choose-terms.ts';
import { beyondCrease, type Facet, fitSurfaceIfDetermined, type SurfacePlan } from './playing-surface.ts';

/** Places of the crease tried, shares of the half-width on the bass side. */
const RATIOS = [-0.35, -0.4, -0.45, -0.5, -0.55, -0.6, -0.65, -0.7, -0.75];
/** Share of χ² that the facet's four columns must take away, and the depth below the round surface that counts, mm × size. */
const LEAST_SHARE = 0.25;
const LEAST_DEPTH = 0.05;
const LEAST_SAMPLES = 200;

/**
 * A flat facet under the lowest string: a crease along the bass side beyond which the surface falls off the round.
 *
 * @param half  half-width of the board at x = 0 and its slope
 */
export function findFacet(
  plan: SurfacePlan,
  samples: Samples,
  half: { half0: number; halfSlope: number },
  size: number,
): Facet | undefined {
  if (samples.count < LEAST_SAMPLES) return undefined;
  const weights = samples.u.map((u) => 1 / (u * u));
  const round = fitSurfaceIfDetermined({ ...plan, terms: CORE_TERMS }, samples.xyz, weights);
  if (round === undefined) return undefined;
  let best = { rss: (1 - LEAST_SHARE) * round.rss, facet: undefined as Facet | undefined };
  for (const ratio of RATIOS) {
    const facet = { ratio, ...half };
    const creased = fitSurfaceIfDetermined({ ...plan, terms: CORE_TERMS, facet }, samples.xyz, weights);
    if (creased !== undefined && creased.rss < best.rss && depthOf(plan, facet, creased.coefficients) > LEAST_DEPTH * size)
      best = { rss: creased.rss, facet };
  }
  return best.facet;
}

/** How far the facet lies below the round surface, produced, half-way across it in the middle of the board, mm. */
function depthOf(plan: SurfacePlan, facet: Facet, coefficients: Float64Array): number {
  const half = (facet.half0 + facet.halfSlope * plan.midX) / plan.halfWidth;
  const d = beyondCrease(plan, facet, plan.midX, (half * (facet.ratio - 1)) / 2);
  const n = CORE_TERMS.length;
  return -(coefficients[n] * d + coefficients[n + 1] * d * d);
}

/** The samples of the round part. */
export function roundSamples(plan: SurfacePlan, samples: Samples, facet: Facet): Samples {
  return selectSamples(samples, (i) => {
    const x = samples.xyz[3 * i];
    const eta = (samples.xyz[3 * i + 1] - plan.centre0 - plan.centreSlope * x) / plan.halfWidth;
    return beyondCrease(plan, facet, x, eta) === 0;
  });
}
