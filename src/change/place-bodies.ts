import type { Cloud } from '../geometry/cloud.ts';
import { InputError } from '../geometry/input-error.ts';
import { identity, type Motion } from '../geometry/motion.ts';
import type { Vec3 } from '../geometry/vec3.ts';
import type { OpenedScan } from '../measures/open-scan.ts';
import { median } from '../numerics/statistics.ts';
import { moved } from '../segmentation/find-instrument.ts';
import { bodyZones, ZONE } from './body-zones.ts';
import { type Cores, coresOf } from './cores.ts';
import { longWaveOfPair, PRIOR } from './long-wave-of-pair.ts';
import { selectCores } from './select-cores.ts';
import { distancesAt } from './distances.ts';
import { PatchReader } from './patch-reader.ts';
import { registerBody, type RobustRegistration } from './register-body.ts';
import { type BodyRegistration, registerWhole } from './whole-body.ts';

/** Two scans in their own instrument frames, and how their bodies come together. */
export interface PlacedBodies {
  readonly clouds: { readonly baseline: Cloud; readonly later: Cloud };
  readonly body: Cores;
  /** Reads the later scan's body, in its own frame. */
  readonly later: PatchReader;
  readonly registration: BodyRegistration;
  /** About which rotations of the body are taken. */
  readonly centre: Vec3;
  readonly size: number;
}

/** Edge of the cells with one core each, and reach of a reading, mm × size: smooth plates and ribs. */
const CELL = 4.5;
const RADIUS = 3.2;
const SPACINGS = 3.2;
/** Middle of the body's depth under the edge plane, mm × size. */
const MIDDLE = -15;
/** Fewest cores of a body. */
const FEWEST = 300;
/** Reach and sparseness of the look at whether the bodies match at all, mm × size. */
const WIDE = { depth: 6, every: 4 };
/** Median distance of two bodies from which on they are not one, mm × size; a swollen or sunken top leaves less. */
const OTHER_BODY = 0.35;
/** The same of the ribs alone, mm × size: plates of different bodies may lie close to each other, their outlines do not; a wet summer widens a violin by half a millimetre on either side. */
const OTHER_OUTLINE = 1;
/** Least share of what the later scan should show there that is there, seen widely. */
const LEAST_OVERLAP = 0.15;
/** A mirror image that fits this much better is what was scanned. */
const MIRRORED = 0.6;

/**
 * Registers the bodies of two opened scans.
 *
 * @throws {InputError} `different-body` or `mirrored`
 */
export function placeBodies(baseline: OpenedScan, later: OpenedScan): PlacedBodies {
  const { size, bodyLength } = baseline.work;
  // One reach for both scans: what a patch smooths over is then the same in both.
  const radius = Math.max(RADIUS * size, SPACINGS * Math.max(baseline.work.spacing, later.work.spacing));
  const clouds = { baseline: moved(baseline.work.cloud, baseline.nominal.motion), later: moved(later.work.cloud, later.nominal.motion) };
  const zones = bodyZones(clouds.baseline, { bodyLength, size, boardEnd: baseline.nominal.shared.get('board.endX') });
  const body = coresOf(clouds.baseline, new PatchReader(clouds.baseline, radius), Math.max(CELL * size, radius), zones);
  if (body.count < FEWEST)
    throw new InputError('no-instrument', 'too little of the body is seen in the baseline to register another scan to it');
  const reader = new PatchReader(clouds.later, radius);
  const centre: Vec3 = [bodyLength / 2, 0, MIDDLE * size];
  const registration = registered(body, reader, size, centre);
  const wide = registration === undefined ? undefined : typicalDistance(body, reader, registration.motion, size);
  refuseMirrored(body, clouds.later, radius, size, centre, wide);
  if (registration === undefined || wide === undefined || wide > OTHER_BODY * size) {
    throw new InputError(
      'different-body',
      `the bodies do not match: ${wide === undefined ? 'too little is seen in both scans' : `they lie ${wide.toFixed(2)} mm apart (median)`}; are both scans of the same instrument?`,
    );
  }
  refuseOtherOutline(body, reader, registration.motion, size);
  const sigma = Math.hypot(baseline.work.sigma, later.work.sigma);
  return {
    clouds,
    body,
    later: reader,
    registration: registerWhole(body, reader, registration, {
      size,
      bodyLength,
      centre,
      sigma,
      longWave: longWaveOfPair([baseline, later], PRIOR.most),
    }),
    centre,
    size,
  };
}

function registered(body: Cores, reader: PatchReader, size: number, centre: Vec3): RobustRegistration | undefined {
  try {
    return registerBody(body, reader, size, centre, identity());
  } catch (error) {
    // The surfaces that both scans show do not hold a motion.
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}

/** Median size of the distances, seen widely; undefined where too little is seen in both. */
function typicalDistance(body: Cores, reader: PatchReader, motion: Motion, size: number): number | undefined {
  const { distance } = distancesAt(body, reader, motion, WIDE.depth * size, WIDE.every);
  const seen = distance.filter((d) => !Number.isNaN(d));
  return seen.length < (LEAST_OVERLAP * body.count) / WIDE.every ? undefined : median(seen.map(Math.abs));
}

function refuseOtherOutline(body: Cores, reader: PatchReader, motion: Motion, size: number): void {
  const ribs = typicalDistance(
    selectCores(body, (i) => body.zone[i] === ZONE.ribs),
    reader,
    motion,
    size,
  );
  if (ribs !== undefined && ribs > OTHER_OUTLINE * size)
    throw new InputError(
      'different-body',
      `the outlines of the bodies do not match: their ribs lie ${ribs.toFixed(1)} mm apart (median); are both scans of the same instrument?`,
    );
}

/** Every so-manyth core serves for the look at the mirror image. */
const MIRROR_EVERY = 4;
/** Bass for treble. */
const MIRROR: Motion = Float64Array.of(1, 0, 0, 0, 0, -1, 0, 0, 0, 0, 1, 0);

function refuseMirrored(whole: Cores, later: Cloud, radius: number, size: number, centre: Vec3, found: number | undefined): void {
  const body = selectCores(whole, (i) => i % MIRROR_EVERY === 0);
  const reader = new PatchReader(moved(later, MIRROR), radius);
  const registration = registered(body, reader, size, centre);
  const mirrored = registration === undefined ? undefined : typicalDistance(body, reader, registration.motion, size);
  if (mirrored !== undefined && mirrored < MIRRORED * (found ?? Infinity) && mirrored < OTHER_BODY * size)
    throw new InputError('mirrored', 'the later scan is a mirror image of the baseline; export one of them again without mirroring');
}
