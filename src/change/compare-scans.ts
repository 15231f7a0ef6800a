import { SmallMotionFit } from '../fits/small-motion.ts';
import type { Datums } from '../frame/datums.ts';
import { compose, type Motion } from '../geometry/motion.ts';
import { movedParts } from '../measures/evaluate-all.ts';
import { asWarped } from '../measures/gather-all.ts';
import type { OpenedScan } from '../measures/open-scan.ts';
import { topPatch } from '../measures/top/top-patch.ts';
import { random } from '../numerics/random.ts';
import { moved } from '../segmentation/find-instrument.ts';
import { ZONE } from './body-zones.ts';
import type { ComparisonResult } from './change-result.ts';
import { changeValues } from './change-values.ts';
import { type Cores, coresOf, type ZoneOf } from './cores.ts';
import { type Distances, distancesAt } from './distances.ts';
import { fitHeel, heelAxis } from './fit-heel.ts';
import { fitHead, type HeadFit } from './fit-head.ts';
import { fitNeck } from './fit-neck.ts';
import { boardZone, headZone, heelZone, type NeckShape, neckShape, woodZone } from './neck-zones.ts';
import { pairField } from './pair-field.ts';
import { CORES, coreSamples, neckAbove, NO_WARP, type PairModel, pairValues } from './pair-model.ts';
import { pairSpreads } from './pair-spreads.ts';
import { PatchReader } from './patch-reader.ts';
import { placeBodies, type PlacedBodies } from './place-bodies.ts';
import { weightsOf } from './register-body.ts';
import { selectCores } from './select-cores.ts';
import { sideFaults } from './side-faults.ts';
import { BLOCK, changeBySurface } from './whole-body.ts';

/** Key of everything random in a comparison: the same scans give the same record. */
const KEY = 'necksight compare 1';
/** Reach of a reading on the neck, the heel and the head, mm × size; cores stand as far apart, so that they share hardly any points. */
const WOOD = 2.5;
const HEEL = 1.8;
const HEAD = 2;
/** A reading reaches at least this many spacings. */
const SPACINGS = 2.8;
/** Reach along the heel's normals, mm × size. */
const HEEL_DEPTH = 1.6;
/** Length over which a swelling top moves as one, mm × size. */
const SWELL = 60;
/** Fewest cores on the block. */
const FEWEST_BLOCK = 60;

export interface CompareOptions {
  /** Relative standard scale errors of the two scanners; equal scanners share theirs. */
  readonly scaleU?: readonly [number, number];
  readonly scanners?: 'same' | 'different';
}

/**
 * What changed between two scans of one instrument: registers the later to the baseline on the body alone, then follows the neck's wood, the heel and all single-scan measurands in the
 * baseline's datums.
 *
 * @throws {InputError} `different-body` or `mirrored` where the bodies do not match
 */
export function compareScans(first: OpenedScan, second: OpenedScan, options: CompareOptions = {}): ComparisonResult {
  const stream = random(KEY);
  const placed = placeBodies(first, second);
  const found = followNeck(placed, first, second);
  // Both boards by one model: each scan by itself takes a small warp for none.
  const [baseline, later] = isWarped(found, placed.size) ? [withWarp(first), withWarp(second)] : [first, second];
  const model = pairModel(placed, found, baseline, later);
  const { registration, body } = placed;
  const field = pairField(
    body,
    registration.quiet.distance,
    registration.distances.variance,
    registration.quiet.used,
    registration.quiet.fit,
    placed.size,
    stream.fork('field'),
  );
  const nominal = pairValues(model, model.baseline.parts, model.later.parts);
  const { unseen } = registration;
  const noise = {
    baseline: baseline.noise,
    later: later.noise,
    field,
    unseen: unseen === undefined ? undefined : { ...unseen, amplitude: changeBySurface(body, registration), length: SWELL * placed.size },
  };
  const spreads = pairSpreads(model, nominal, noise, stream.fork('repeat'));
  const faults = [
    sideFaults(baseline, 'baseline', spreads, stream.fork('halves of the baseline')),
    sideFaults(later, 'later', spreads, stream.fork('halves of the later scan')),
  ] as const;
  return changeValues({ placed, found, model, nominal, spreads, faults, noise, options, baseline, later });
}

const isWarped = ({ neck }: FollowedNeck, size: number): boolean => typeof neck !== 'string' && Math.abs(neck.state[6]) > NO_WARP * size;
const withWarp = (scan: OpenedScan): OpenedScan => ({ ...scan, gathered: asWarped(scan.gathered) });

/** Neck, heel and block as both scans show them, or why not. */
export interface FollowedNeck {
  readonly shape: NeckShape | string;
  readonly wood: Cores;
  readonly neck: ReturnType<typeof fitNeck>;
  readonly headCores: Cores;
  readonly head: HeadFit | undefined;
  readonly heel: Cores;
  readonly heelFit: ReturnType<typeof fitHeel>;
  readonly heelDistances: Distances;
  readonly block: Cores;
  readonly blockDistances: Distances;
}

const NO_CORES: Cores = {
  count: 0,
  xyz: new Float64Array(),
  normal: new Float64Array(),
  area: new Float64Array(),
  variance: new Float64Array(),
  zone: new Uint8Array(),
};
const NO_DISTANCES: Distances = { distance: new Float64Array(), variance: new Float64Array() };

function followNeck(placed: PlacedBodies, baseline: OpenedScan, later: OpenedScan): FollowedNeck {
  const { size, registration } = placed;
  const shape = neckShape(baseline.nominal, size);
  const block = selectCores(
    placed.body,
    (i) => placed.body.xyz[3 * i] < BLOCK * baseline.work.bodyLength && placed.body.zone[i] !== ZONE.top,
  );
  const blockDistances = distancesAt(block, placed.later, registration.motion, HEEL_DEPTH * size);
  if (typeof shape === 'string') {
    return {
      shape,
      wood: NO_CORES,
      neck: shape,
      headCores: NO_CORES,
      head: undefined,
      heel: NO_CORES,
      heelFit: shape,
      heelDistances: NO_DISTANCES,
      block,
      blockDistances,
    };
  }
  // One reach for both scans: what a patch smooths over is then the same in both.
  const coarser = Math.max(baseline.work.spacing, later.work.spacing);
  const [woodReach, heelReach, headReach] = [WOOD, HEEL, HEAD].map((reach) => Math.max(reach * size, SPACINGS * coarser));
  const reader = (of: 'baseline' | 'later', radius: number) => new PatchReader(placed.clouds[of], radius);
  const wood = coresOf(placed.clouds.baseline, reader('baseline', woodReach), woodReach, woodZone(shape));
  const neck = fitNeck(wood, reader('later', woodReach), shape, registration.motion);
  const held = (zone: ZoneOf, reach: number): Pick<FollowedNeck, 'head' | 'headCores'> => {
    const cores = coresOf(placed.clouds.baseline, reader('baseline', reach), reach, zone);
    const head = typeof neck === 'string' ? undefined : fitHead(cores, reader('later', reach), neck, registration.motion, size);
    return { headCores: cores, head };
  };
  const byHead = held(headZone(shape), headReach);
  const { headCores, head } = byHead.head === undefined ? held(boardZone(shape), woodReach) : byHead;
  const heel = coresOf(placed.clouds.baseline, reader('baseline', heelReach), heelReach, heelZone(shape, heelReach));
  const heelDistances = distancesAt(heel, reader('later', heelReach), registration.motion, HEEL_DEPTH * size);
  const heelFit =
    typeof neck === 'string'
      ? neck
      : shape.heel === undefined
        ? 'the heel is not seen in the baseline'
        : fitHeel(heel, heelDistances, shape, neckAbove(neck.state, neck, shape, heelAxis(heel)));
  return { shape, wood, neck, headCores, head, heel, heelFit, heelDistances, block, blockDistances };
}

function pairModel(placed: PlacedBodies, found: FollowedNeck, baseline: OpenedScan, later: OpenedScan): PairModel {
  const { registration, body, centre, size } = placed;
  const weights = weightsOf(body, registration.used);
  const along = Float64Array.from({ length: body.count }, (_, i) => (body.xyz[3 * i] - centre[0]) * body.normal[3 * i]);
  const sets = {
    [CORES.body]: { cores: body, distances: registration.distances },
    [CORES.wood]: { cores: found.wood, distances: { distance: new Float64Array(found.wood.count), variance: woodVariance(found) } },
    [CORES.heel]: { cores: found.heel, distances: found.heelDistances },
    [CORES.head]: {
      cores: found.headCores,
      distances: { distance: new Float64Array(found.headCores.count), variance: headVariance(found) },
    },
    [CORES.block]: { cores: found.block, distances: found.blockDistances },
  } as const;
  const names = Object.values(CORES);
  const known = (v: number) => (Number.isNaN(v) ? 0 : v);
  const own = (side: 'baseline' | 'later') =>
    Object.fromEntries(
      names.map((name) => {
        const { cores, distances } = sets[name];
        return [
          name,
          coreSamples(cores, (i) => (side === 'baseline' ? cores.variance[i] : known(distances.variance[i]) - cores.variance[i])),
        ];
      }),
    );
  const { motion, hasJoint, jointBass, jointTreble } = baseline.nominal;
  const frame: Datums = { motion, hasJoint, jointBass, jointTreble };
  const station = baseline.nominal.values.get('stop');
  const plan = later.gathered.plan;
  const laterParts = movedParts(later.parts, compose(registration.motion, later.nominal.motion) as Motion);
  const patch =
    station === undefined
      ? undefined
      : topPatch(moved(placed.clouds.later, registration.motion), station, baseline.work.bodyLength, size, later.work.sigma);
  return {
    frame,
    station,
    baseline: {
      plan: { ...baseline.gathered.plan, rule: fixedRule(baseline, station) },
      parts: { ...movedParts(baseline.parts, baseline.nominal.motion), ...own('baseline') },
    },
    later: {
      plan: { ...plan, rule: fixedRule(later, station), topAtStation: patch ?? plan.topAtStation },
      parts: { ...laterParts, ...(patch === undefined ? {} : { 'top.station': patch.samples }), ...own('later') },
    },
    centre,
    bodyFit: new SmallMotionFit(body.xyz, body.normal, weights, centre),
    scaleFit: new SmallMotionFit(body.xyz, body.normal, weights, centre, [along]),
    distances: {
      [CORES.body]: registration.distances.distance,
      [CORES.wood]: new Float64Array(found.wood.count),
      [CORES.heel]: found.heelDistances.distance,
      [CORES.head]: new Float64Array(found.headCores.count),
      [CORES.block]: found.blockDistances.distance,
    },
    cores: {
      [CORES.body]: body,
      [CORES.wood]: found.wood,
      [CORES.heel]: found.heel,
      [CORES.head]: found.headCores,
      [CORES.block]: found.block,
    },
    shape: typeof found.shape === 'string' ? undefined : found.shape,
    neck: typeof found.neck === 'string' ? undefined : found.neck,
    head: found.head,
    heel: typeof found.heelFit === 'string' ? undefined : { fit: found.heelFit, axis: heelAxis(found.heel) },
    blockFit: blockFit(found, centre),
  };
}

const woodVariance = (found: FollowedNeck): Float64Array =>
  typeof found.neck === 'string' ? new Float64Array(found.wood.count).fill(Number.NaN) : found.neck.variance;

const headVariance = ({ head, headCores }: FollowedNeck): Float64Array =>
  head?.variance ?? new Float64Array(headCores.count).fill(Number.NaN);

const fixedRule = (scan: OpenedScan, station: number | undefined) =>
  station === undefined ? scan.gathered.plan.rule : { ...scan.gathered.plan.rule, source: 'given' as const, given: station };

/** Turn of the upper block about y, with the shifts that go with it. */
function blockFit(found: FollowedNeck, centre: PlacedBodies['centre']): SmallMotionFit | undefined {
  const { block, blockDistances } = found;
  const seen = Uint8Array.from(blockDistances.distance, (d) => (Number.isNaN(d) ? 0 : 1));
  if (seen.reduce((s, v) => s + v, 0) < FEWEST_BLOCK) return undefined;
  try {
    return new SmallMotionFit(block.xyz, block.normal, weightsOf(block, seen), [0, 0, centre[2]]);
  } catch (error) {
    // Ribs of one side, or a strip of the back: the block's motion is not held by them.
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}
