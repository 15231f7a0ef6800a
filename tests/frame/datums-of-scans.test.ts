import { describe, expect, it } from 'vitest';
import { cloudFromScan } from '../../src/cloud/cloud-from-scan.ts';
import { parseScan } from '../../src/formats/read-scan.ts';
import { datums } from '../../src/frame/datums.ts';
import { findDatums } from '../../src/frame/find-datums.ts';
import { tailEnd } from '../../src/frame/tail-end.ts';
import { compose, type Motion } from '../../src/geometry/motion.ts';
import { MM_PER, type Unit } from '../../src/geometry/scan.ts';
import { measureScan } from '../../src/measures/measure-scan.ts';
import { random } from '../../src/numerics/random.ts';
import { findInstrument } from '../../src/segmentation/find-instrument.ts';
import { frameError } from '../study/frame-error.ts';
import { MODELLED } from '../study/models.ts';
import { entryOf, GROUPS, type Model } from '../study/plan.ts';

/** One scan of a group of the study, coarser, with its truth. */
async function modelled(group: string, model: Model, number: number) {
  const g = GROUPS.find((candidate) => candidate.name === group);
  if (g === undefined) throw new Error(`the study has no group ${group}`);
  const conditions = { ...g.conditions, spacing: 1 };
  const { bytes, truth } = MODELLED[model]({ ...entryOf({ ...g, conditions }, model, number), form: 'mesh' });
  return { scan: await parseScan(bytes), truth };
}

/** Rotation, degrees; origin and length, mm × size: a few tenths at this spacing, where faults of the frame are millimetres. */
const NEAR = { rotation: 0.03, origin: 0.3, length: 0.8 };

describe('datums of scans against their truth', () => {
  it.each([
    ['a violin', 'ordinary', 'a', 0],
    ['a violin with the posts of a chin rest beside the tailgut', 'ordinary', 'b', 0],
    ['a bass with sloping shoulders', 'bass', 'b', 1],
  ] as const)('finds those of %s', { timeout: 60_000 }, async (_, group, model, number) => {
    const { scan, truth } = await modelled(group, model, number);
    const cloud = cloudFromScan(scan);
    const found = findInstrument(cloud, random('datums of scans'));
    const mm = MM_PER[truth.unit as Unit];
    const { samples, motion, bodyLength } = findDatums(cloud, found.motion.map((v) => v * mm) as Motion, found.bodyLength * mm, 0);
    const last = datums(samples, bodyLength);
    const whole = compose(last.motion, motion);
    const [a, b, c] = scan.origin;
    const shifted = [0, 4, 8].map((r) => [
      whole[r],
      whole[r + 1],
      whole[r + 2],
      whole[r + 3] - whole[r] * a - whole[r + 1] * b - whole[r + 2] * c,
    ]);
    const error = frameError([...shifted.flat(), 0, 0, 0, 1], truth.frame);
    const size = truth.values.bodyLength / 355;
    expect(error.rotation).toBeLessThan(NEAR.rotation);
    expect(error.origin).toBeLessThan(NEAR.origin * size);
    const end = tailEnd(samples.besideSaddle, last.motion, bodyLength);
    expect(Math.abs((end ?? Number.NaN) - truth.values.bodyLength)).toBeLessThan(NEAR.length * size);
  });

  it('says how little the upper half alone tells of the centreline', { timeout: 60_000 }, async () => {
    const { scan, truth } = await modelled('top-half', 'b', 1);
    const { measures } = measureScan(scan, {});
    const yaw = measures.boardYaw;
    expect(yaw?.quality).toBe('poor');
    expect(Math.abs((yaw?.value ?? Number.NaN) - truth.values.boardYaw)).toBeLessThan(4 * (yaw?.u ?? 0));
    expect(measures.boardOffset?.quality).toBe('poor');
    expect(measures.edgeFlatnessPV).toBeUndefined();
  });
});
