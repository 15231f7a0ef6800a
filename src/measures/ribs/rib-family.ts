import type { MeasureId } from '../../measurands/measurands.ts';
import { cropWork } from '../crop-work.ts';
import type { EvaluationContext, Family, Gathering, PartSamples, Workpiece } from '../family.ts';
import { SampleList, type Samples } from '../../geometry/samples.ts';
import { findRibEnds, type RibEnds } from './find-rib-ends.ts';

/** Height of the ribs near both ends of the body. */
export const ribFamily: Family = { name: 'ribs', ids: ['ribHeightUpper', 'ribHeightLower'], gather: gatherRibs };

/** Shares of the body's length where the ribs are measured. */
const PLACES = [
  { id: 'ribHeightUpper', name: 'ribs.upper', share: 0.05 },
  { id: 'ribHeightLower', name: 'ribs.lower', share: 0.95 },
] as const;
/** mm × size. How much one side's height misses the mean of both. */
const ONE_SIDE_U = 0.2;
/** mm × size. Ribs taper from one end to the other, and differ from side to side, by less than this. */
const TAPER = 4;
const SIDES_DIFFER = 1.2;
/** Readings of the four (two places, two sides) that must lie within `TAPER` of one another: a lone one may be that of a fitting. */
const FEWEST = 2;
/** mm × size. Stretch round each place that is looked at. */
const STRETCH = 6;

interface Found extends RibEnds {
  readonly place: (typeof PLACES)[number];
}

/** The samples of a place: underside of the top's overhang and upper side of the back's, in turn, side by side. */
function gatherRibs(whole: Workpiece): Gathering {
  const { size } = whole;
  const found: Found[] = [];
  for (const place of PLACES) {
    const x = place.share * whole.bodyLength;
    const work = cropWork(whole, { x: [x - STRETCH * size, x + STRETCH * size], y: [-Infinity, Infinity], z: [-Infinity, Infinity] });
    for (const side of [-1, 1] as const) {
      const ends = findRibEnds(work, place.share, side);
      if (ends !== undefined) found.push({ ...ends, place });
    }
  }
  const samples: Record<string, Samples> = {};
  const absent = new Map<MeasureId, string>();
  const blur = new Map<MeasureId, number>();
  for (const place of PLACES) {
    const sides = found.filter((f) => f.place === place && agreeing(found, f, size) >= FEWEST);
    if (sides.length === 0) absent.set(place.id, 'ribs or overhangs are not seen there');
    else if (sides.length === 2 && Math.abs(heightOf(sides[0]) - heightOf(sides[1])) > SIDES_DIFFER * size)
      absent.set(place.id, 'the ribs of the two sides do not agree: something covers their edges');
    else {
      samples[place.name] = endSamples(sides, size);
      blur.set(place.id, sidesDoubt(sides, size));
    }
  }
  return { samples, absent, warnings: [], coverage: {}, blur, evaluate: evaluateRibs };
}

/** How many readings, itself included, are like this one. */
const agreeing = (found: readonly Found[], one: Found, size: number): number =>
  found.filter((f) => Math.abs(heightOf(f) - heightOf(one)) < TAPER * size).length;

/** mm × size. Ribs of one place are bent of one strip, and differ from side to side by less than this. */
const ALIKE = 0.3;

/** Where the two sides differ by more, one may have a hole or a clamp in it, and their mean errs by up to half of that; mm, standard. */
function sidesDoubt(sides: readonly RibEnds[], size: number): number {
  if (sides.length < 2) return 0;
  return Math.max(0, Math.abs(heightOf(sides[0]) - heightOf(sides[1])) - ALIKE * size) / 2;
}

const heightOf = (ends: RibEnds): number => ends.top.z - ends.back.z;

function endSamples(sides: readonly RibEnds[], size: number): Samples {
  const list = new SampleList();
  const more = sides.length === 1 ? ONE_SIDE_U * size : 0;
  for (const { top, back } of sides) {
    list.add(top.x, top.y, top.z, 0, 0, -1, Math.hypot(top.u, more), 1);
    list.add(back.x, back.y, back.z, 0, 0, 1, back.u, 1);
  }
  return list.samples();
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
