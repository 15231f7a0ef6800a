import { quantile } from '../numerics/statistics.ts';
import type { TemplateMatch } from './match-template.ts';
import type { PlanProfile } from './plan-profile.ts';

/** Where the upper bout and the waist lie, shares of body length. */
const UPPER_BOUT = { from: 0.12, to: 0.3 };
const WAIST = { from: 0.38, to: 0.58 };

/**
 * Half-width at the waist ÷ half-width of the upper bout, on the side where it is less: about 0.66 on violins, up to 0.78 on basses, 0.84 and more on guitars;
 * lutes have none. Infinity where one of both is not seen.
 */
export function waistRatio(profile: PlanProfile, match: TemplateMatch): number {
  const sides = [profile.high, profile.low].map((edge) => {
    const bout: number[] = [];
    const waist: number[] = [];
    for (let i = 0; i < edge.length; i++) {
      const t = (match.towardsTail * (profile.start + i * profile.bin - match.joint)) / match.bodyLength;
      if (Number.isNaN(edge[i])) continue;
      if (t > UPPER_BOUT.from && t < UPPER_BOUT.to) bout.push(Math.abs(edge[i]));
      if (t > WAIST.from && t < WAIST.to) waist.push(Math.abs(edge[i]));
    }
    return bout.length === 0 || waist.length === 0 ? Infinity : quantile(waist, 0.25) / quantile(bout, 0.5);
  });
  return Math.min(...sides);
}
