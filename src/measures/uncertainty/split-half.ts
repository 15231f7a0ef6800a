import type { MeasureId } from '../../measurands/measurands.ts';
import { evaluateAll, type EvaluationPlan } from '../evaluate-all.ts';
import type { PartSamples } from '../family.ts';
import type { Random } from '../../numerics/random.ts';
import { rms } from '../../numerics/statistics.ts';
import type { BudgetEntry, Quantity } from '../result.ts';
import { halfParts } from './half-parts.ts';
import { drawLongWave } from './long-wave-prior.ts';
import { sampleBook, withLongWave, withScanNoise } from './perturb-samples.ts';
import type { NoiseModel } from './repeat-measurement.ts';
import { SOURCE } from './sources.ts';

/**
 * Blocks that a part is cut into, coarse and fine: on a violin's board they are 67 to 8 mm long, on the patches of the top that heights are read from 10 to 1 mm. A local fault of the scan (a seam, a smear of wax, a reflection) about as
 * large as a block lies in one half and not in the other; one much smaller averages out in both value and check, or is left out with the outliers; one much larger is a long-wave error.
 */
const BLOCKS = [4, 8, 16, 32] as const;

/**
 * How a source of error bears on the difference of two interleaved halves, in its u: what is independent from point to point has √2 in either half and 2 in the difference; waves longer than a block and the
 * definition of a feature are nearly common to both, and count once so that what they leave is no fault; what moves the datums or the station is common.
 */
const IN_DIFFERENCE: Readonly<Record<string, number>> = {
  [SOURCE.noise]: 2,
  [SOURCE.thinned]: 2,
  [SOURCE.facets]: 2,
  [SOURCE.longWave]: 1,
  [SOURCE.definition]: 1,
};
/**
 * Halves that differ by more than so many standard uncertainties of their difference disagree. Of normal errors one difference in 16 000 does, with u from so few repetitions one in 2500: with some thirty values and four
 * scales, which hang together, some sound scans in a hundred. A fault that moves a value by 2 to 4 u shows, so that none of 5 u goes unseen where it is local.
 */
const DISAGREE = 4;
/** Repetitions of both halves by which a suspicion is held against what noise makes of these very halves, which seldom carry a fit equally well. */
const REPEATS = 16;
/** After so many it is dismissed when none of its differences is more than this many times what they show: most are explained at once. */
const FIRST = 4;
const CLEARED = 2.5;

/** Value from even minus that from odd blocks, by id. */
type Difference = ReadonlyMap<MeasureId, number>;

/**
 * Evaluates the samples that a scan has already given half by half, block by block in turn: eight evaluations, some 2 ms each, and a few dozen more only where a difference is beyond what the budget explains.
 *
 * @param measures  values with their budgets
 * @returns what it adds to a value's u that its halves disagree, by id: half of their difference, as the value lies between them
 */
export function splitHalf(
  plan: EvaluationPlan,
  parts: PartSamples,
  noise: NoiseModel,
  measures: Partial<Record<MeasureId, Pick<Quantity, 'budget'>>>,
  random: Random,
): ReadonlyMap<MeasureId, number> {
  const faults = new Map<MeasureId, number>();
  for (const blocks of BLOCKS) {
    const found = difference(plan, parts, blocks);
    const suspects = [...found].filter(([id, d]) => Math.abs(d) > DISAGREE * expected(measures[id]?.budget));
    if (suspects.length === 0) continue;
    const spread = simulated(plan, parts, noise, blocks, found, suspects, random.fork(`${blocks} blocks`));
    for (const [id, d] of suspects) {
      if (Math.abs(d) > DISAGREE * (spread.get(id) ?? Infinity)) faults.set(id, Math.max(faults.get(id) ?? 0, Math.abs(d) / 2));
    }
  }
  return faults;
}

/** Standard uncertainty of the difference that the budget explains; a value that is not given has none to hold it against. */
function expected(budget: readonly BudgetEntry[] | undefined): number {
  return budget === undefined ? Infinity : Math.hypot(...budget.map(({ source, u }) => (IN_DIFFERENCE[source] ?? 0) * u));
}

function difference(plan: EvaluationPlan, parts: PartSamples, blocks: number): Difference {
  const [even, odd] = halfParts(parts, blocks, plan.size, plan.board.waves).map((half) => valuesOf(plan, half));
  const both = [...even].map(([id, value]) => [id, value - (odd.get(id) ?? Number.NaN)] as const);
  return new Map(both.filter(([, d]) => Number.isFinite(d)));
}

const NOTHING: ReadonlyMap<MeasureId, number> = new Map();

function valuesOf(plan: EvaluationPlan, half: PartSamples): ReadonlyMap<MeasureId, number> {
  try {
    return evaluateAll(plan, half, NOTHING).values;
  } catch (error) {
    // Half of a part that is barely seen does not carry a fit: then there is nothing to compare.
    if (error instanceof RangeError) return NOTHING;
    throw error;
  }
}

/** RMS of what noise and long-wave error add to a difference, by id, where most repetitions form it. */
function simulated(
  plan: EvaluationPlan,
  parts: PartSamples,
  noise: NoiseModel,
  blocks: number,
  found: Difference,
  suspects: readonly (readonly [MeasureId, number])[],
  random: Random,
): Difference {
  const book = sampleBook(parts, noise);
  const rows = new Map<MeasureId, number[]>();
  let repeats = 0;
  while (repeats < REPEATS) {
    if (repeats === FIRST && suspects.every(([id, d]) => Math.abs(d) < CLEARED * rms(rows.get(id) ?? [Infinity]))) break;
    repeats++;
    const { amplitude, length } = drawLongWave(noise.sigma, noise.longWave, random);
    const disturbed = withLongWave({ ...book, parts: withScanNoise(book, random) }, amplitude, length, random);
    for (const [id, d] of difference(plan, disturbed, blocks)) rows.set(id, [...(rows.get(id) ?? []), d - (found.get(id) ?? d)]);
  }
  return new Map([...rows].filter(([, row]) => row.length > repeats / 2).map(([id, row]) => [id, rms(row)]));
}
