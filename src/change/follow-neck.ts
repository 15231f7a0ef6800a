import type { OpenedScan } from '../measures/open-scan.ts';
import { ZONE } from './body-zones.ts';
import { type Cores, coresOf, type ZoneOf } from './cores.ts';
import { type Distances, distancesAt } from './distances.ts';
import { fitHead, type HeadFit } from './fit-head.ts';
import { fitHeel, heelAxis } from './fit-heel.ts';
import { fitNeck } from './fit-neck.ts';
import { boardZone, headZone, heelZone, type NeckShape, neckShape, woodZone } from './neck-zones.ts';
import { neckAbove, NO_WARP } from './pair-model.ts';
import { PatchReader } from './patch-reader.ts';
import type { PlacedBodies } from './place-bodies.ts';
import { selectCores } from './select-cores.ts';
import { BLOCK } from './whole-body.ts';

/** Reach of a reading on the neck, the heel and the head, mm × size; cores stand as far apart, so that they share hardly any points. */
const WOOD = 2.5;
const HEEL = 1.8;
const HEAD = 2;
/** A reading reaches at least this many spacings. */
const SPACINGS = 2.8;
/** Reach along the heel's normals, mm × size. */
const HEEL_DEPTH = 1.6;

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

/**
 * Follows neck, heel and block from the baseline to the later scan.
 *
 * @param errors  variance of the mean distance over a large area, times that area, mm⁴
 */
export function followNeck(placed: PlacedBodies, baseline: OpenedScan, later: OpenedScan, errors: number): FollowedNeck {
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
    const head = typeof neck === 'string' ? undefined : fitHead(cores, reader('later', reach), neck, registration.motion, { size, errors });
    return { headCores: cores, head };
  };
  const byHead = held(headZone(shape), headReach);
  // A board that a warp bent, and that may have been planed straight since, is no rigid body: it seems to roll.
  const isStraight = typeof neck !== 'string' && Math.abs(neck.state[6]) <= NO_WARP * size;
  const { headCores, head } = byHead.head === undefined && isStraight ? held(boardZone(shape), woodReach) : byHead;
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
