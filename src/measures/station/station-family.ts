import type { MeasureId } from '../../measurands/measurands.ts';
import { averageCells, type FittedSurface } from '../average-cells.ts';
import { cropWork } from '../crop-work.ts';
import type { Family, Gathering, Workpiece } from '../family.ts';
import type { RobustSurface } from '../fit-robust-surface.ts';
import { SampleList, type Samples } from '../../geometry/samples.ts';
import { evaluateStation, STATION } from './evaluate-station.ts';
import { type Bridge, findBridge, HIGHEST } from './find-bridge.ts';
import { findSaddle, type Saddle } from './find-saddle.ts';
import { findNotches, NOT_TOLD, type Notch } from './find-notches.ts';

/** Where the bridge stands or belongs, and the strings over it. */
export const stationFamily: Family = {
  name: 'station',
  ids: ['stopBass', 'stopTreble', 'notchOffset', 'bridgeHeight', 'bridgeLean', 'stringLength', 'stringAngle'],
  gather: gatherStation,
};

/** mm. With one notch only the station is known to no better: the two sides of an instrument differ (measurands.md). */
const OTHER_SIDE_U = 1;
/** mm × size. Where a face stands on the top: its edge is rounded or cut into the varnish. */
const FOOT_U = 0.14;
/** mm × size. A bridge is this thick at its feet, give or take: used where only one face is seen. */
const THICKNESS = 4.4;
const THICKNESS_U = 0.3;
/** mm × size. The crown's edge is rounded. */
const CROWN_U = 0.08;
/** mm × size. A crown is 1.3 mm thick: where hardly a point stands on it, its height is as uncertain as that. */
const COARSE_CROWN_U = 0.26;
/** mm × size. Where along the body the crown lies: in the middle of its thickness, which is rounded over to one side or the other. */
const CROWN_X_U = 0.2;
/** mm × size. Half the thickness of a crown (1.2 to 1.6 mm), by which it lies before the tail-side face where it is too narrow for the spacing to show it. */
const HALF_CROWN = 0.7;
/** mm × size. The same where neither its own points nor the tail side show it: then its place is that of a few points on one of its edges. */
const CROWN_EDGE_X_U = 0.6;
/** mm × size. Level points farther than that from where the tail-side face has the crown are strings or their windings. */
const CROWN_OFF = 1.2;
/** mm × size. Where on the saddle's rounded upper side the gut bends: its highest line is no sharp one. */
const SADDLE_Z_U = 0.3;
const SADDLE_X_U = 1;
/** mm × size. How far a notch may be misplaced in a scan that is too coarse to tell the other one from the edge of its f-hole. */
const DOUBTED_U = 1;
/** mm × size. Bridges stand within a millimetre of the notches: by so much the bridge misses the station where notches are there but not resolved. */
const BRIDGE_OFF = 0.6;
/** mm × size. Cells that samples average. */
const FACE_CELL = 2;
const TOP_CELL = 2;
/** Shares of the body's length and mm × size: what the family looks at. */
const FROM = 0.43;
const TO = 0.67;
const HALF_WIDTH = 64;
const LOWEST = -8;

function gatherStation(whole: Workpiece): Gathering {
  const { size, bodyLength } = whole;
  const work = cropWork(whole, {
    x: [FROM * bodyLength, TO * bodyLength],
    y: [-HALF_WIDTH * size, HALF_WIDTH * size],
    z: [LOWEST * size, HIGHEST * size],
  });
  const samples: Record<string, Samples> = {};
  const absent = new Map<MeasureId, string>();
  const { bass, treble } = findNotches(work);
  if (typeof bass === 'string') absent.set('stopBass', bass);
  else samples[STATION.notchBass] = notchSamples(bass, unresolved(treble) ? DOUBTED_U * size : 0);
  if (typeof treble === 'string') absent.set('stopTreble', treble);
  else samples[STATION.notchTreble] = notchSamples(treble, unresolved(bass) ? DOUBTED_U * size : 0);
  const onlyOne = (typeof bass === 'string') !== (typeof treble === 'string');
  if (typeof bass === 'string' || typeof treble === 'string')
    absent.set('notchOffset', onlyOne ? 'only one notch is found' : (bass as string));
  if (onlyOne) samples[STATION.otherSide] = otherSide(typeof bass === 'string' ? (treble as Notch) : bass);
  const bridge = findBridge(work);
  if (bridge !== undefined) bridgeSamples(work, bridge, samples);
  const saddle = bridge === undefined ? undefined : findSaddle(whole);
  if (saddle !== undefined) samples[STATION.saddle] = saddleSamples(saddle, size);
  for (const [id, reason] of bridgeReasons(bridge)) absent.set(id, reason);
  return {
    samples,
    absent,
    warnings: onlyOne ? ['only one inner notch is found: the station may be a millimetre or more off'] : [],
    coverage: {},
    blur: unresolved(bass) && unresolved(treble) && bridge !== undefined ? new Map([['stop', BRIDGE_OFF * size]]) : new Map(),
    evaluate: evaluateStation,
  };
}

const unresolved = (notch: Notch | string): boolean => notch === NOT_TOLD;

/** @param doubt  of its place besides, mm, standard */
function notchSamples(notch: Notch, doubt: number): Samples {
  const list = new SampleList();
  list.add(notch.x, notch.y, notch.z, 1, 0, 0, Math.hypot(notch.uX, doubt), 1);
  list.add(notch.x, notch.y, notch.z, 0, 1, 0, Math.hypot(notch.uY, doubt), 1);
  return list.samples();
}

function otherSide(notch: Notch): Samples {
  const list = new SampleList();
  list.add(notch.x, notch.y, notch.z, 1, 0, 0, OTHER_SIDE_U, 1);
  list.add(notch.x, notch.y, notch.z, 1, 0, 0, 0, 1);
  return list.samples();
}

function bridgeSamples(work: Workpiece, bridge: Bridge, samples: Record<string, Samples>): void {
  const { size } = work;
  const feet = feetSamples(bridge, size);
  if (feet !== undefined) samples[STATION.feet] = feet;
  if (bridge.tailFace !== undefined)
    samples[STATION.tailFace] = surfaceSamples(work, bridge.tailFace, { out: 0, a: 2, b: 1, outward: 1 }, FACE_CELL);
  if (bridge.top !== undefined) samples[STATION.top] = surfaceSamples(work, bridge.top, { out: 2, a: 0, b: 1, outward: 1 }, TOP_CELL);
  if (bridge.crown.length > 0) {
    const p = work.cloud.positions;
    const mean = [0, 1, 2].map((k) => bridge.crown.reduce((sum, i) => sum + p[3 * i + k], 0) / bridge.crown.length);
    const u = Math.hypot(work.sigma / Math.sqrt(bridge.crown.length), (bridge.crownSeen === 'level' ? CROWN_U : COARSE_CROWN_U) * size);
    const list = new SampleList();
    const [x, uX] = crownAlong(bridge, mean, size);
    list.add(x, mean[1], mean[2], 0, 0, 1, u, 1);
    list.add(x, mean[1], mean[2], 1, 0, 0, uX, 1);
    samples[STATION.crown] = list.samples();
  }
}

/** x of the crown's middle, and how well it is known: the mean of its own points on a fine scan; on a coarse one they stand on either of its edges. */
function crownAlong(bridge: Bridge, mean: readonly number[], size: number): readonly [number, number] {
  const isLevel = bridge.crownSeen === 'level';
  if (bridge.tailFace === undefined) return [mean[0], (isLevel ? CROWN_X_U : CROWN_EDGE_X_U) * size];
  const behindFace = bridge.tailFace.fit.value(mean[2], mean[1]) - HALF_CROWN * size;
  if (isLevel && Math.abs(mean[0] - behindFace) < CROWN_OFF * size) return [mean[0], CROWN_X_U * size];
  return [behindFace, (isLevel ? CROWN_EDGE_X_U : Math.hypot(CROWN_X_U, CROWN_X_U)) * size];
}

/** The two faces where they stand on the top; where one is not seen it is set a bridge's thickness from the other. */
function feetSamples(bridge: Bridge, size: number): Samples | undefined {
  const { tailFoot, boardFoot, footHeight } = bridge;
  const list = new SampleList();
  const u = FOOT_U * size;
  if (Number.isNaN(tailFoot) && Number.isNaN(boardFoot)) return undefined;
  const guess = Math.hypot(u, THICKNESS_U * size);
  if (Number.isNaN(tailFoot)) list.add(boardFoot + THICKNESS * size, 0, footHeight, 1, 0, 0, guess, 1);
  else list.add(tailFoot, 0, footHeight, 1, 0, 0, u, 1);
  if (Number.isNaN(boardFoot)) list.add(tailFoot - THICKNESS * size, 0, footHeight, -1, 0, 0, guess, 1);
  else list.add(boardFoot, 0, footHeight, -1, 0, 0, u, 1);
  return list.samples();
}

function surfaceSamples(work: Workpiece, surface: RobustSurface, axes: Omit<FittedSurface, 'value' | 'gradient'>, cell: number): Samples {
  const list = new SampleList();
  averageCells(
    list,
    work.cloud,
    surface.ids,
    { ...axes, value: surface.fit.value, gradient: surface.fit.gradient },
    cell * work.size,
    work.sigma,
  );
  return list.samples();
}

/** Twice: the first errs along z, the second along x. */
function saddleSamples({ x, y, z }: Saddle, size: number): Samples {
  const list = new SampleList();
  list.add(x, y, z, 0, 0, 1, SADDLE_Z_U * size, 1);
  list.add(x, y, z, 1, 0, 0, SADDLE_X_U * size, 1);
  return list.samples();
}

function bridgeReasons(bridge: Bridge | undefined): [MeasureId, string][] {
  if (bridge === undefined)
    return (['bridgeHeight', 'bridgeLean', 'stringLength', 'stringAngle'] as const).map((id) => [id, 'no bridge is seen']);
  return [
    ['bridgeHeight', "the bridge's crown or the top at its feet is not seen"],
    ['bridgeLean', "too little of the bridge's tail side is seen"],
    ['stringLength', "the bridge's crown, the board line or the nut is not seen"],
    ['stringAngle', "the bridge's crown, or the saddle on both sides of the gut, is not seen"],
  ];
}
