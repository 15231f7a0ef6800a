import type { MeasureId } from '../../measurands/measurands.ts';
import { cropWork } from '../crop-work.ts';
import type { EvaluationContext, Family, Gathering, PartSamples, Workpiece } from '../family.ts';
import { SampleList, type Samples } from '../samples.ts';
import { findRibEnds } from './find-rib-ends.ts';

/** Height of the ribs near both ends of the body. */
export const ribFamily: Family = { name: 'ribs', ids: ['ribHeightUpper', 'ribHeightLower'], gather: gatherRibs };

/** Shares of the body's length where the ribs are measured. */
const PLACES = [
  { id: 'ribHeightUpper', name: 'ribs.upper', share: 0.05 },
  { id: 'ribHeightLower', name: 'ribs.lower', share: 0.95 },
] as const;
/** mm × size. How much one side's height misses the mean of both. */
const ONE_SIDE_U = 0.2;
/** mm × size. Stretch round each place that is looked at. */
const STRETCH = 6;

/** The samples of a place: underside of the top's overhang and upper side of the back's, in turn, side by side. */
function gatherRibs(whole: Workpiece): Gathering {
  const samples: Record<string, Samples> = {};
  const absent = new Map<MeasureId, string>();
  for (const { id, name, share } of PLACES) {
    const x = share * whole.bodyLength;
    const reach = STRETCH * whole.size;
    const work = cropWork(whole, { x: [x - reach, x + reach], y: [-Infinity, Infinity], z: [-Infinity, Infinity] });
    const sides = ([-1, 1] as const).flatMap((side) => findRibEnds(work, share, side) ?? []);
    if (sides.length === 0) {
      absent.set(id, "ribs or overhangs are not seen at this place");
      continue;
    }
    const list = new SampleList();
    const more = sides.length === 1 ? ONE_SIDE_U * whole.size : 0;
    for (const { top, back } of sides) {
      list.add(top.x, top.y, top.z, 0, 0, -1, Math.hypot(top.u, more), 1);
      list.add(back.x, back.y, back.z, 0, 0, 1, back.u, 1);
    }
    samples[name] = list.samples();
  }
  return { samples, absent, warnings: [], coverage: {}, evaluate: evaluateRibs };
}

function evaluateRibs(samples: PartSamples, context: EvaluationContext): void {
  for (const { id, name } of PLACES) {
    const ends = samples[name];
    if (ends === undefined) continue;
    let sum = 0;
    for (let i = 0; i < ends.count; i += 2) sum += ends.xyz[3 * i + 2] - ends.xyz[3 * i + 5];
    context.values.set(id, sum / (ends.count / 2));
  }
}
