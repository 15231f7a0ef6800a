import { selectPoints } from '../cloud/select-points.ts';
import type { Cloud } from '../geometry/cloud.ts';
import { InputError } from '../geometry/input-error.ts';
import { applyToDirections, applyToPoints, compose, identity, type Motion } from '../geometry/motion.ts';
import { quantile } from '../numerics/statistics.ts';
import { boardHalfWidth } from './board-shadow.ts';
import { type DatumSamples, datumSamples } from './datum-samples.ts';
import { type Datums, datums } from './datums.ts';
import { edgeScale } from './edge-scale.ts';
import { HIDDEN_BESIDE_NECK } from './joint-outline.ts';
import { type NeckRoot, neckRoot, USUAL_ROOT_HALF } from './neck-root.ts';
import { rimSide } from './rim-points.ts';
import { type RimStation, rimStations } from './rim-stations.ts';
import { soundOutline } from './sound-outline.ts';
import { roughTailEnd, tailEnd } from './tail-end.ts';

/** The working frame with what it rests on. */
export interface FoundDatums {
  /** Cloud's coordinates → working frame, mm: x = 0 at the joint, z = 0 at the edge plane, y = 0 on the centreline, but for a last correction that the samples carry. */
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
/** More rounds, up to this, while the joint still moves by more than so much, mm × size: sloping shoulders are first placed centimetres off. */
const MOST_ROUNDS = 6;
const SETTLED = 0.5;
/** Half-width at the tail hidden by saddle and tailgut, share of body length (saddle 35 mm on a violin; common practice, no source). */
const TAIL_HIDDEN = 0.064;
/** The rough length is right to this share: a tail end found farther off is another thing. */
const ROUGH_LENGTH = 0.08;
/** Share of the outline that must show a crest for an edge plane, and on how many sides. */
const LEAST_CREST = 0.2;

/**
 * Refines a rough frame to the datums A, B, C.
 *
 * @param cloud  any unit
 * @param rough  cloud → mm, in a frame right to about 1 % of the body's length and a degree
 * @param roughLength  body length in it, mm
 * @param facets  edge of coarse facets that the points lie on, mm; 0 where the scan is fine
 * @throws {InputError} `no-instrument` when there is no edge to be found
 */
export function findDatums(cloud: Cloud, rough: Motion, roughLength: number, facets: number): FoundDatums {
  const zone = edgeZone(cloud, rough, roughLength);
  let found = lookAt(thinZone(zone), roughLength, [USUAL_ROOT_HALF * roughLength, USUAL_ROOT_HALF * roughLength], facets);
  let motion = identity();
  for (let round = 2; round <= MOST_ROUNDS; round++) {
    if (round > ROUNDS && Math.abs(found.datums.motion[3]) < (SETTLED * found.bodyLength) / 355) break;
    motion = compose(found.datums.motion, motion);
    const seenLength =
      tailEnd(found.samples.besideSaddle, found.datums.motion, roughLength) ??
      roughTailEnd(found.samples.besideSaddle, found.datums.motion);
    const bodyLength = seenLength !== undefined && Math.abs(seenLength / roughLength - 1) < ROUGH_LENGTH ? seenLength : found.bodyLength;
    found = lookAt(movedFrom(zone, motion), bodyLength, halvesIn(found), facets);
  }
  const { datums: last, ...rest } = found;
  return { ...rest, motion: compose(motion, rough), hasJoint: last.hasJoint };
}

/** Half-widths of the root, bass and treble, from the centreline that was found. */
function halvesIn({ root, datums: found }: { readonly root: NeckRoot; readonly datums: Datums }): readonly [number, number] {
  const aside = found.motion[7];
  return [root.halfBass - aside, root.halfTreble + aside];
}

/** Points that the first, roughest round looks at. */
const FIRST_ROUND_POINTS = 60_000;

function thinZone(zone: Cloud): Cloud {
  const every = Math.floor(zone.count / FIRST_ROUND_POINTS);
  return every < 2
    ? zone
    : selectPoints(
        zone,
        Uint8Array.from({ length: zone.count }, (_, i) => (i % every === 0 ? 1 : 0)),
      );
}

/** One look at rim and root in a frame, and the datums as they come out in it. */
function lookAt(cloud: Cloud, bodyLength: number, rootHalves: readonly [number, number], facets: number) {
  const size = bodyLength / 355;
  const rims = ([-1, 1] as const).map((side, k) => {
    const neck = rootHalves[k] + HIDDEN_BESIDE_NECK * edgeScale(size);
    return rimSide(cloud, bodyLength, size, side, { neck, tail: TAIL_HIDDEN * bodyLength });
  });
  const sides = rims.map((rim) => rimStations(rim, size, facets));
  const step = rims[0].step;
  const expected = expectedStations(bodyLength, step);
  const scatters = sides.map((s) => s.scatter).filter((v) => !Number.isNaN(v));
  const scatter = scatters.length > 0 ? quantile(scatters, 0.5) : 0;
  const stations = soundOutline(
    sides.flatMap((s) => s.stations),
    bodyLength,
    size,
    scatter,
  );
  const seen = stations.filter((s) => !Number.isNaN(s.crestZ));
  if (seen.length < LEAST_CREST * expected)
    throw unseen('the edge of the top is not seen clearly enough for an edge plane; a finer scan of the whole edge is needed');
  const heights = stations.filter((s) => !Number.isNaN(s.z)).map((s) => s.z);
  const root = neckRoot(cloud, size, heights.length > 0 ? quantile(heights, 0.5) : -2 * size, scatter);
  const samples = datumSamples(stations, root, boardHalfWidth(cloud, bodyLength, size), bodyLength, size, step);
  return {
    samples,
    stations,
    root,
    bodyLength,
    rimScatter: scatter,
    datums: datumsOrRefusal(samples, bodyLength),
    crestCoverage: Math.min(1, seen.length / expected),
    noChannel: sides.reduce((a, s) => a + s.withoutChannel, 0) / Math.max(1, seen.length),
  };
}

const unseen = (message: string): InputError => new InputError('no-instrument', message);

function datumsOrRefusal(samples: DatumSamples, bodyLength: number): Datums {
  try {
    return datums(samples, bodyLength);
  } catch (error) {
    // Too few places on the edge or mid-points for a plane or a line through them.
    if (error instanceof RangeError)
      throw unseen('the outline of the top is not seen on both sides, so there is no centreline; scan both sides of the body');
    throw error;
  }
}

/** Points that can matter for the datums: near the edge's height (a degree of tilt is 6 mm at the ends), at the rim or about the joint. Shares of body length. */
const ZONE = { below: -0.05, above: 0.075, spine: 0.11, ends: 0.08, beyond: 0.14 };

function edgeZone(cloud: Cloud, rough: Motion, bodyLength: number): Cloud {
  const p = cloud.positions;
  const keep = new Uint8Array(cloud.count);
  const m = rough.map((v) => v / bodyLength);
  for (let i = 0; i < cloud.count; i++) {
    const [x0, y0, z0] = [p[3 * i], p[3 * i + 1], p[3 * i + 2]];
    const z = m[8] * x0 + m[9] * y0 + m[10] * z0 + m[11];
    if (z < ZONE.below || z > ZONE.above) continue;
    const x = m[0] * x0 + m[1] * y0 + m[2] * z0 + m[3];
    if (x < -ZONE.beyond || x > 1 + ZONE.beyond) continue;
    const y = m[4] * x0 + m[5] * y0 + m[6] * z0 + m[7];
    if (Math.abs(y) > ZONE.spine || x < ZONE.ends || x > 1 - ZONE.ends) keep[i] = 1;
  }
  const zone = movedFrom(selectPoints(cloud, keep), rough);
  const scale = Math.hypot(rough[0], rough[1], rough[2]);
  return { ...zone, areas: zone.areas.map((a) => a * scale * scale) };
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
