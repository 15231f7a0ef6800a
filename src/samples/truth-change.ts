import { applyToPoint, compose, type Motion } from '../geometry/motion.ts';
import type { Vec3 } from '../geometry/vec3.ts';
import { blockPart, changedInstrument, type InstrumentChange, woodMotion } from './changed-instrument.ts';
import type { ModelInstrument } from './model-instrument.ts';
import { trueRegistration } from './true-registration.ts';
import { bodyTruth } from './truth-body.ts';
import { type BoardTruth, boardTruth, type Values } from './truth-board.ts';
import { bridgeTruth } from './truth-bridge.ts';
import { carriedFrame, trueFrame } from './truth-frame.ts';
import { heelTruth } from './truth-heel.ts';
import { type FramedSurface, framedSurface } from './truth-surface.ts';
import { turnOf } from './turn.ts';

/** What changed between two states of an instrument, by the definitions of changes and differences; mm and degrees. */
export interface ChangeTruth {
  /** Change measurands; those that the change leaves without meaning are left out. */
  readonly changes: Values & { readonly neckPitch: number };
  readonly neckShift: Vec3;
  /** Later minus first, in the first state's datums and at its bridge station. */
  readonly differences: Values;
  /** x of that station, mm. */
  readonly station: number;
  /** Later state to the first, in the first one's instrument frame. */
  readonly registration: Motion;
}

const DEGREES = 180 / Math.PI;
/** Ends and middle of the stretch of the neck's back whose sagitta is its bend, shares of its length from the nut. */
const CHORD = [0.15, 0.45, 0.75] as const;
/** Rounds in which a place on the back settles: each leaves a tenth. */
const ROUNDS = 20;

/**
 * @param station  x of the first state's bridge station, mm; that of its notches unless said
 */
export function changeTruth(first: ModelInstrument, change: InstrumentChange, station?: number): ChangeTruth {
  const later = changedInstrument(first, change);
  const { motion, residual } = trueRegistration(first, later, change);
  const before = framedSurface(first);
  const after = framedSurface(later, carriedFrame(later, compose(motion, trueFrame(first).motion)));
  const x = station ?? notchStation(before);
  const board = boardTruth(before);
  const then = boardTruth(after);
  const values = allValues(before, board, x);
  const differences = Object.fromEntries(
    Object.entries(allValues(after, then, x)).flatMap(([id, v]) => (values[id] === undefined ? [] : [[id, v - values[id]]])),
  );
  const back = chordPoints(before, board);
  const wood = compose(motion, woodMotion(first, change));
  const [roll, pitch, yaw] = turnOf(wood);
  const { z0, slope } = board.line;
  const y = board.centre.at0;
  const joint: Vec3 = [0, y, z0];
  const carried = applyToPoint(wood, joint);
  const byNeck = heightAt(carried, applyToPoint(wood, [x, y, z0 + slope * x]), x) - z0 - slope * x;
  const byLine = then.line.z0 - z0 + (then.line.slope - slope) * x;
  return {
    changes: {
      neckPitch: pitch * DEGREES,
      neckYaw: yaw * DEGREES,
      neckRoll: roll * DEGREES,
      neckBend: sagitta(after, back) - sagitta(before, back),
      // A heel that was recut has another surface: nothing tells its old one's turn and bend.
      ...(change.recut === undefined
        ? { heelRootRotation: (pitch - change.neck.bend) * DEGREES, heelBend: change.neck.bend * DEGREES }
        : {}),
      blockRotation: turnOf(compose(motion, blockPart(first, change)))[1] * DEGREES,
      projectionByNeck: byNeck,
      projectionByBoard: byLine - byNeck,
      projectionByArch: differences.projection - byLine,
      bodyResidual: residual,
    },
    neckShift: [carried[0] - joint[0], carried[1] - joint[1], carried[2] - joint[2]],
    differences,
    station: x,
    registration: motion,
  };
}

function notchStation(surface: FramedSurface): number {
  const { stopBass, stopTreble } = bodyTruth(surface).secondary;
  return (stopBass + stopTreble) / 2;
}

/** Every single-scan measurand but `stop` and `stopRatio`, which are the first state's by definition. */
function allValues(surface: FramedSurface, board: BoardTruth, x: number): Values {
  const body = bodyTruth(surface);
  const heel = heelTruth(surface);
  return {
    ...body.values,
    ...body.secondary,
    ...board.values,
    ...board.secondary,
    ...heel.values,
    ...heel.secondary,
    ...bridgeTruth(surface, board),
    projection: board.line.z0 + board.line.slope * x - surface.topAt(x, 0),
    boardOffset: board.centre.at0 + board.centre.slope * x,
  };
}

/** Height at x of the straight line through two points. */
const heightAt = (a: Vec3, b: Vec3, x: number): number => a[2] + ((b[2] - a[2]) * (x - a[0])) / (b[0] - a[0]);

/** Neck coordinates of the back's points on the centreline at both ends and the middle of the stretch, square to the board line. */
function chordPoints(surface: FramedSurface, { line, values: { neckLength } }: BoardTruth): readonly Vec3[] {
  const { contour } = surface.instrument.neck;
  const alongLine = ([x, , z]: Vec3): number => (x + line.slope * (z - line.z0)) / Math.hypot(1, line.slope);
  const backAt = (x: number): Vec3 => {
    let i = 0;
    while (i + 2 < contour.length && contour[i + 1][0] < x) i++;
    const f = (x - contour[i][0]) / (contour[i + 1][0] - contour[i][0]);
    return [x, 0, contour[i][1] + f * (contour[i + 1][1] - contour[i][1])];
  };
  return CHORD.map((share) => {
    const wanted = -neckLength * (1 - share);
    let x = wanted;
    for (let k = 0; k < ROUNDS; k++) x += wanted - alongLine(surface.neckPoint(...backAt(x)));
    return backAt(x);
  });
}

/** Height of the middle of three points of the neck over the line through the outer two, positive away from the strings. */
function sagitta(surface: FramedSurface, points: readonly Vec3[]): number {
  const [a, b, c] = points.map((p) => surface.neckPoint(...p));
  return ((a[2] - b[2]) * (c[0] - a[0]) - (a[0] - b[0]) * (c[2] - a[2])) / Math.hypot(c[0] - a[0], c[2] - a[2]);
}
