import { describe, expect, it } from 'vitest';
import type { MeasureId } from '../../../src/measurands/measurands.ts';
import { evaluateBody } from '../../../src/measures/body/evaluate-body.ts';
import { edgeSamples, halfWidth, LENGTH, PLAIN } from '../../frame/edge-samples.ts';

function evaluated(seenTo = 1) {
  const s = edgeSamples({ ...PLAIN, seenTo });
  const values = new Map<MeasureId, number>();
  evaluateBody(
    { 'datum.outlineBass': s.outlineBass, 'datum.outlineTreble': s.outlineTreble, 'datum.crest': s.crest },
    { bodyLength: LENGTH, size: 1, instrumentClass: 'violin', values, shared: new Map() },
  );
  return values;
}

const extreme = (from: number, to: number, sign: 1 | -1): number => {
  let best = -Infinity;
  for (let t = from; t <= to; t += 1e-4) best = Math.max(best, sign * 2 * halfWidth(t));
  return sign * best;
};

describe('evaluateBody', () => {
  it('finds the greatest and least widths of a smooth outline', () => {
    const values = evaluated();
    expect(values.get('widthUpper')).toBeCloseTo(extreme(0.12, 0.3, 1), 1);
    expect(values.get('widthWaist')).toBeCloseTo(extreme(0.4, 0.54, -1), 1);
    expect(values.get('widthLower')).toBeCloseTo(extreme(0.66, 0.92, 1), 1);
  });

  it('gives no width of a bout that is not seen', () => {
    const values = evaluated(0.6);
    expect(values.has('widthUpper')).toBe(true);
    expect(values.has('widthLower')).toBe(false);
  });

  it('says nothing of the flatness of an edge of which one half is seen', () => {
    expect(evaluated(0.6).has('edgeFlatnessPV')).toBe(false);
  });

  it('finds a flat edge flat', () => {
    const values = evaluated();
    expect(values.get('edgeFlatnessRms')).toBeCloseTo(0, 9);
    expect(values.get('edgeFlatnessPV')).toBeCloseTo(0, 9);
  });
});
