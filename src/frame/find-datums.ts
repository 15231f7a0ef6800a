import { selectPoints } from '../cloud/select-points.ts';
import type { Cloud } from '../geometry/cloud.ts';
import { InputError } from '../geometry/input-error.ts';
import { applyToDirections, applyToPoints, compose, identity, type Motion } from '../geometry/motion.ts';
import { quantile } from '../numerics/statistics.ts';
import { boardHalfWidth } from './board-shadow.ts';
import { type DatumSamples, datumSamples } from './datum-samples.ts';
import { datums } from './datums.ts';
import { type NeckRoot, neckRoot, USUAL_ROOT_HALF } from './neck-root.ts';
import { rimSide } from './rim-points.ts';
import { type RimStation, rimStations } from './rim-stations.ts';
import { soundOutline } from './sound-outline.ts';
import { tailEnd } from './tail-end.ts';

/** The working frame with what it rests on. */
export interface FoundDatums {
  /** The cloud that was given, moved into the working frame (x = 0 at the joint, z = 0 at the edge plane, y = 0 on the centreline). */
  readonly cloud: Cloud;
  /** Given frame → working frame. */
  readonly motion: Motion;
  readonly samples: DatumSamples;
  readonly stations: readonly RimStation[];
  readonly root: NeckRoot;
  readonly hasJoint: boolean;
  readonly bodyLength: number;
  /** Scatter of points about the edge's profiles, mm: white noise plus what the profile leaves. */
  readonly rimScatter: number;
  /** Share of the outline's length on which the crest was seen, and on which it had no channel inside it. */
  readonly crestCoverage: number;
  readonly noChannel: number;
}

/** Rounds of looking for the rim in the frame of the last round; the first starts some millimetres off. */
const ROUNDS = 3;
/** Half-width at the tail hidden by saddle and tailgut, share of body length (saddle 35 mm on a violin; common practice, no source). */
const TAIL_HIDDEN = 0.064;
/** The rough length is right to this share: a tail end found farther off is another thing. */
const ROUGH_LENGTH = 0.06;
/** Share of the outline that must show a crest for an edge plane, and on how many sides. */
const LEAST_CREST = 0.2;

/**
 * Refines a rough frame to the datums A, B, C.
 *
 * @param cloud  mm, in a frame right to about 1 % of the body's length and a degree
 * @throws {InputError} `no-instrument` when there is no edge to be found
 */
export function findDatums(given: Cloud, roughLength: number): FoundDatums {
  let motion = identity();
  let bodyLength = roughLength;
  const zone = edgeZone(given, roughLength);
  let cloud = zone;
  let root: NeckRoot = { bass: undefined, treble: undefined, halfWidth: USUAL_ROOT_HALF * roughLength };
  for (let round = 1; ; round++) {
    const size = bodyLength / 355;
    const hidden = { neck: root.halfWidth + 1.5 * size, tail: TAIL_HIDDEN * bodyLength };
    const rims = ([-1, 1] as const).map((side) => rimSide(cloud, bodyLength, size, side, hidden));
    const sides = rims.map((rim) => rimStations(rim, size));
    const step = rims[0].step;
    const stations = soundOutline(sides.flatMap((s) => s.stations), bodyLength, size);
    const seen = stations.filter((s) => !Number.isNaN(s.crestZ));
    if (seen.length < LEAST_CREST * expectedStations(bodyLength, step)) {
      throw new InputError('no-instrument', "the edge of the top is not seen clearly enough for an edge plane; a finer scan of the whole edge is needed");
    }
    const scatter = quantile(sides.map((s) => s.scatter).filter((v) => !Number.isNaN(v)), 0.5);
    const edgeHeight = quantile(stations.filter((s) => !Number.isNaN(s.z)).map((s) => s.z), 0.5);
    root = neckRoot(cloud, size, Number.isNaN(edgeHeight) ? -2 * size : edgeHeight, scatter);
    const samples = datumSamples(stations, root, boardHalfWidth(cloud, bodyLength, size), bodyLength, size, step);
    const found = datums(samples, bodyLength);
    if (round === ROUNDS) {
      const withoutChannel = sides.reduce((a, s) => a + s.withoutChannel, 0);
      return {
        cloud: movedFrom(given, motion), motion, samples, stations, root, hasJoint: found.hasJoint, bodyLength, rimScatter: scatter,
        crestCoverage: Math.min(1, seen.length / expectedStations(bodyLength, step)), noChannel: withoutChannel / Math.max(1, seen.length),
      };
    }
    motion = compose(found.motion, motion);
    cloud = movedFrom(zone, motion);
    const seenLength = tailEnd(samples.besideSaddle, found.motion);
    if (seenLength !== undefined && Math.abs(seenLength / roughLength - 1) < ROUGH_LENGTH) bodyLength = seenLength;
  }
}

/** Points that can matter for the datums: near the edge's height (a degree of tilt is 6 mm at the ends), at the rim or about the joint. Shares of body length. */
const ZONE = { below: -0.05, above: 0.075, spine: 0.11, ends: 0.08 };

function edgeZone(cloud: Cloud, bodyLength: number): Cloud {
  const p = cloud.positions;
  const keep = new Uint8Array(cloud.count);
  for (let i = 0; i < cloud.count; i++) {
    const z = p[3 * i + 2] / bodyLength;
    if (z < ZONE.below || z > ZONE.above) continue;
    const x = p[3 * i] / bodyLength;
    if (x < -0.08 || x > 1.08) continue;
    if (Math.abs(p[3 * i + 1]) > ZONE.spine * bodyLength || x < ZONE.ends || x > 1 - ZONE.ends) keep[i] = 1;
  }
  return selectPoints(cloud, keep);
}

/** Stations on both sides of an outline that is wholly seen. */
const expectedStations = (bodyLength: number, step: number): number => (2 * 1.42 * bodyLength) / step;

function movedFrom(cloud: Cloud, motion: Motion): Cloud {
  return {
    ...cloud,
    positions: applyToPoints(motion, cloud.positions, new Float32Array(cloud.positions.length)),
    normals: applyToDirections(motion, cloud.normals, new Float32Array(cloud.normals.length)),
  };
}
