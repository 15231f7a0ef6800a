import type { Body } from './body.ts';
import type { Registration } from './body-registration.ts';
import type { Change, ChangeTruth } from './change.ts';
import type { TrueFrame } from './frame.ts';
import { backPoint, type ChangedNeck } from './neck-change.ts';
import { applyRigid, compose, inverse, type Rigid, rotationVector } from './rigid.ts';
import { type TrueValues, topHeight } from './truth.ts';

const DEG = 180 / Math.PI;
/** they belong to a scan, not to a change */
const NO_DIFFERENCE = new Set(['stop', 'stopRatio']);

/** Baseline and later instrument, both measured in the baseline's datums at the same station. */
export interface MeasuredPair {
  readonly body: Body;
  readonly frame: TrueFrame;
  readonly values: TrueValues;
  readonly laterBody: Body;
  readonly laterFrame: TrueFrame;
  readonly laterValues: TrueValues;
  readonly neck: ChangedNeck;
  readonly block: Rigid;
  readonly registration: Registration;
}

export function changeTruth(pair: MeasuredPair, change: Change): ChangeTruth {
  const { values: base, laterValues: later } = pair;
  // the wood against the registered body
  const wood = compose(pair.registration.motion, pair.neck.motion);
  const [roll, pitch, yaw] = rotationVector(wood).map((v) => v * DEG);
  const station = base.values['stop'];
  const yawSlope = Math.tan(base.values['boardYaw'] / DEG);
  const onLine = (x: number): readonly [number, number, number] => [
    x,
    base.values['boardOffset'] + yawSlope * (x - station),
    base.boardLine.z0 + base.boardLine.slope * x,
  ];
  const p = new Float64Array(3);
  const moved = (q: readonly number[]): readonly number[] => {
    applyRigid(wood, q[0], q[1], q[2], p);
    return [...p];
  };
  const joint = onLine(0);
  const atJoint = moved(joint);
  // the baseline's board line, carried by the wood, where it passes the station
  const [a, b] = [moved(onLine(-base.values['neckLength'])), moved(onLine(station))];
  const byNeck = b[2] + ((b[2] - a[2]) / (b[0] - a[0])) * (station - b[0]) - onLine(station)[2];
  const lineChange = later.boardLine.z0 + later.boardLine.slope * station - onLine(station)[2];
  const topChange = topHeight(pair.laterBody, pair.laterFrame, station, 0) - topHeight(pair.body, pair.frame, station, 0);
  const changes: Record<string, number> = {
    neckPitch: pitch,
    neckYaw: yaw,
    neckRoll: roll,
    neckBend: sagittaChange(pair.neck, base),
    heelRootRotation: pitch - change.bend,
    heelBend: change.bend,
    blockRotation: rotationVector(compose(pair.registration.motion, pair.block))[1] * DEG,
    projectionByNeck: byNeck,
    projectionByBoard: lineChange - byNeck,
    projectionByArch: -topChange,
    bodyResidual: pair.registration.residual,
  };
  const differences: Record<string, number> = {};
  const [before, after] = [
    { ...base.values, ...base.secondary },
    { ...later.values, ...later.secondary },
  ];
  for (const [id, value] of Object.entries(before))
    if (!NO_DIFFERENCE.has(id) && after[id] !== undefined) differences[id] = after[id] - value;
  return { changes, neckShift: [atJoint[0] - joint[0], atJoint[1] - joint[1], atJoint[2] - joint[2]], differences };
}

/** change of the sagitta of the back at 45 % over its chord from 15 to 75 %, away from the strings, as the wood shows it */
function sagittaChange(neck: ChangedNeck, base: TrueValues): number {
  const back = inverse(neck.motion);
  const p = new Float64Array(3);
  const alpha = Math.atan(base.boardLine.slope);
  // square to the board, away from it; the wood's own motion taken back
  const [n15, n45, n75] = [0.15, 0.45, 0.75].map((share) => {
    const q = backPoint(base, share);
    neck.wood(q[0], q[1], q[2], p);
    applyRigid(back, p[0], p[1], p[2], p);
    return (p[0] - q[0]) * Math.sin(alpha) - (p[2] - q[2]) * Math.cos(alpha);
  });
  return n45 - (n15 + n75) / 2;
}
