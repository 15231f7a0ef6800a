import { MEASURANDS, type MeasureId } from '../measurands/measurands.ts';
import type { Quantity } from './result.ts';
import { SOURCE } from './uncertainty/sources.ts';

/** Names the values whose halves disagree: one sentence for all, as one fault often moves several. */
export function halvesWarnings(measures: Partial<Record<MeasureId, Quantity>>): string[] {
  const widened = MEASURANDS.filter(({ id }) => measures[id]?.budget.some((b) => b.source === SOURCE.halves));
  if (widened.length === 0) return [];
  const names = widened.map(({ title }) => title.charAt(0).toLowerCase() + title.slice(1)).join(', ');
  return [
    `every other stretch of the scan gives another value than the stretches between: ${names}; something lies on the surface there or the scan is disturbed, and the intervals are widened by that`,
  ];
}
