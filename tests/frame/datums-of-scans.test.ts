import { describe, expect, it } from 'vitest';
import { parseScan } from '../../src/formats/read-scan.ts';
import type { MeasureId } from '../../src/measurands/measurands.ts';
import { measureScan } from '../../src/measures/measure-scan.ts';
import { frameError } from '../study/frame-error.ts';
import { MODELLED } from '../study/models.ts';
import { entryOf, GROUPS, type Model } from '../study/plan.ts';

/** One scan of a group of the study, coarser, with its truth. */
async function measured(group: string, model: Model, number: number) {
  const g = GROUPS.find((candidate) => candidate.name === group);
  if (g === undefined) throw new Error(`the study has no group ${group}`);
  const entry = { ...entryOf({ ...g, conditions: { ...g.conditions, spacing: 0.9 } }, model, number), form: 'mesh' as const };
  const { bytes, truth } = MODELLED[model](entry);
  const result = measureScan(await parseScan(bytes), {});
  const off = (id: MeasureId) => {
    const q = result.measures[id];
    return q === undefined ? undefined : { error: Math.abs(q.value - truth.values[id]), u: q.u, quality: q.quality };
  };
  return { frame: frameError(result.frame, truth.frame), off, size: truth.values.bodyLength / 355 };
}

/** Rotation, degrees; origin and lengths, mm × size: a few tenths at this spacing, where faults of the frame are millimetres. */
const NEAR = { rotation: 0.03, origin: 0.3, length: 0.8 };

describe('datums of scans against their truth', () => {
  it.each([
    ['a violin', 'ordinary', 'a', 0],
    ['a violin with the posts of a chin rest beside the tailgut', 'ordinary', 'b', 0],
    ['a bass with sloping shoulders', 'bass', 'b', 1],
  ] as const)('finds those of %s', { timeout: 60_000 }, async (_, group, model, number) => {
    const { frame, off, size } = await measured(group, model, number);
    expect(frame.rotation).toBeLessThan(NEAR.rotation);
    expect(frame.origin).toBeLessThan(NEAR.origin * size);
    const length = off('bodyLength');
    expect(length?.error).toBeLessThan(NEAR.length * size);
    expect(length?.error).toBeLessThan(4 * (length?.u ?? NaN));
    expect(off('overstand')?.error).toBeLessThan(0.15 * size);
    expect(off('widthWaist')?.error).toBeLessThan(0.25 * size);
  });

  it('says how little the upper half alone tells of the centreline', { timeout: 60_000 }, async () => {
    const { off } = await measured('top-half', 'b', 1);
    for (const id of ['boardYaw', 'boardOffset'] as const) {
      const q = off(id);
      expect(q?.quality).toBe('poor');
      expect(q?.error).toBeLessThan(4 * (q?.u ?? NaN));
    }
  });
});
