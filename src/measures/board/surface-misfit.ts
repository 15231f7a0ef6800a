import type { Samples } from '../../geometry/samples.ts';
import { sampleWeight } from './evaluate-board.ts';
import { fitSurface, heightFunction, type SurfacePlan } from './playing-surface.ts';

/** Length of a stretch over which residuals are averaged, mm × size: a kink between neck and joint is some 25 mm long on a violin. */
const STRETCH = 10;
/** What noise leaves in the mean of a stretch, in its standard uncertainty. */
const NOISE = 2;

/**
 * How far the playing surface strays from its fitted model where it strays most, mm beyond noise, in means over stretches along the board: a neck that warped
 * leaves kinks in its board that no smooth surface follows.
 */
export function surfaceMisfit(plan: SurfacePlan, samples: Samples, size: number): number {
  const { coefficients } = fitSurface(plan, samples.xyz, samples.u.map(sampleWeight));
  const height = heightFunction(plan, coefficients);
  const stretches = new Map<number, { sum: number; weight: number }>();
  for (let i = 0; i < samples.count; i++) {
    const [x, y, z] = samples.xyz.subarray(3 * i, 3 * i + 3);
    const key = Math.floor(x / (STRETCH * size));
    const stretch = stretches.get(key) ?? { sum: 0, weight: 0 };
    const weight = sampleWeight(samples.u[i]);
    stretch.sum += weight * (z - height(x, y));
    stretch.weight += weight;
    stretches.set(key, stretch);
  }
  let most = 0;
  for (const { sum, weight } of stretches.values()) most = Math.max(most, (sum / weight) ** 2 - NOISE ** 2 / weight);
  return Math.sqrt(most);
}
