import { compareScans } from '../../../src/change/compare-scans.ts';
import type { ComparisonResult } from '../../../src/change/change-result.ts';
import { parseScan } from '../../../src/formats/read-scan.ts';
import { InputError } from '../../../src/geometry/input-error.ts';
import { random } from '../../../src/numerics/random.ts';
import { type OpenedScan, openScan } from '../../../src/measures/open-scan.ts';
import { compose, identity, type Motion } from '../../../src/geometry/motion.ts';
import { MM_PER } from '../../../src/geometry/scan.ts';
import { type FloorDraws, floorDraws, pairFloor } from './pair-floor.ts';
import { frameInMm, type ModelledBaseline, type ModelledPairs, type PairModel } from './pair-model.ts';
import type { PairEntry, PairJob } from './pair-plan.ts';
import type { PairResult } from './pair-result.ts';
import { registrationError } from './registration-error.ts';
import { scorePair, testsOf } from './score-pair.ts';

/** Makes a baseline and its later scans one by one, compares and scores them; nothing of the scans is kept. */
export async function compareJob(job: PairJob, model: PairModel): Promise<PairResult[]> {
  const made = model(job);
  const first = made.baseline();
  const opened = await openedOf(first.bytes).catch(failureOf);
  const floors = new Map<number, FloorDraws>();
  const baseline: Baseline = {
    ...first,
    opened,
    draws: (endSlope) => {
      const known = floors.get(endSlope) ?? floorDraws(first.floor, first.site, endSlope, random(`study floor ${job.key} ${endSlope}`));
      floors.set(endSlope, known);
      return known;
    },
  };
  const results: PairResult[] = [];
  for (const pair of job.pairs) results.push(await comparePair(pair, made, baseline));
  return results;
}

interface Baseline extends ModelledBaseline {
  readonly opened: OpenedScan | Failure;
  readonly draws: (endSlope: number) => FloorDraws;
}

const openedOf = async (bytes: Uint8Array): Promise<OpenedScan> => openScan(await parseScan(bytes), {});

async function comparePair(pair: PairEntry, made: ModelledPairs, baseline: Baseline): Promise<PairResult> {
  const start = processorSeconds();
  const { bytes, truth, floor } = made.later(pair);
  const ready = processorSeconds();
  const later = await openedOf(bytes).catch(failureOf);
  const open = processorSeconds();
  const first = baseline.opened;
  const result = 'code' in first ? first : 'code' in later ? later : compared(first, later);
  const done = processorSeconds();
  const known = truth('code' in first ? undefined : first.nominal.values.get('stop'));
  const slope = endSlope(pair.change.warp, baseline.site.nutX);
  const floors = pairFloor(baseline.draws(slope), floorDraws(floor, baseline.site, slope, random(`${pair.draw} floor`)));
  const { key, group, model, instrument, look } = pair;
  const common = {
    key,
    group,
    model,
    instrument,
    view: look.view,
    warp: pair.change.warp,
    seconds: { make: ready - start, open: open - ready, compare: done - open },
  };
  if ('code' in first || 'code' in later || 'code' in result) {
    const failed = 'code' in first ? first : 'code' in later ? later : (result as Failure);
    return { ...common, failed, scores: scorePair(known, look, floors, undefined), tests: [], warnings: [] };
  }
  return {
    ...common,
    scores: scorePair(known, look, floors, result),
    tests: testsOf(result),
    registration: registrationError(result, [foundFrame(first), foundFrame(later)], [baseline.frame, known.frame], baseline.bodyLength),
    stopped: result.registration.stopped,
    warnings: result.warnings,
  };
}

/** From the scan's coordinates in mm, its origin included, to the instrument frame as it was found. */
function foundFrame({ motion, scan, unit }: OpenedScan): Motion {
  const shift = identity();
  for (let k = 0; k < 3; k++) shift[4 * k + 3] = -(scan.origin[k] as number) * MM_PER[unit];
  return compose(frameInMm(motion), shift);
}

/** Slope in which a warp ends against its chord of 60 % of the neck, rad: four sagittas over it. */
const endSlope = (warp: number, nutX: number): number => Math.abs((4 * warp) / (0.6 * nutX));

interface Failure {
  readonly code: string;
  readonly message: string;
}

function compared(baseline: OpenedScan, later: OpenedScan): ComparisonResult | Failure {
  try {
    return compareScans(baseline, later);
  } catch (error) {
    return failureOf(error);
  }
}

/** A fault of the program is a result too, so that one pair does not end the study: it is counted and named. */
function failureOf(error: unknown): Failure {
  if (error instanceof InputError) return { code: error.code, message: error.message };
  return { code: 'fault', message: error instanceof Error ? (error.stack ?? error.message) : String(error) };
}

function processorSeconds(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1e6;
}
