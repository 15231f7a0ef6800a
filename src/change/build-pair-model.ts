import { SmallMotionFit } from '../fits/small-motion.ts';
import type { Datums } from '../frame/datums.ts';
import { compose, type Motion } from '../geometry/motion.ts';
import { movedParts } from '../measures/evaluate-all.ts';
import type { OpenedScan } from '../measures/open-scan.ts';
import { topPatch } from '../measures/top/top-patch.ts';
import { moved } from '../segmentation/find-instrument.ts';
import { heelAxis } from './fit-heel.ts';
import type { FollowedNeck } from './follow-neck.ts';
import { CORES, coreSamples, type PairModel } from './pair-model.ts';
import type { PlacedBodies } from './place-bodies.ts';
import { weightsOf } from './register-body.ts';

/** Fewest cores on the block. */
const FEWEST_BLOCK = 60;

/** All that turns the samples of two registered scans into changes. */
export function buildPairModel(placed: PlacedBodies, found: FollowedNeck, baseline: OpenedScan, later: OpenedScan): PairModel {
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
