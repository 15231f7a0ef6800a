import type { Vec3 } from '../geometry/vec3.ts';
import type { ModelInstrument } from './model-instrument.ts';
import type { Side } from './neck.ts';
import { type TrueFrame, trueFrame } from './truth-frame.ts';

/** The noise-free surfaces of an instrument, read in a frame: its own true one, or another state's that its body was brought to. */
export interface FramedSurface {
  readonly instrument: ModelInstrument;
  readonly frame: TrueFrame;
  /** A point in neck coordinates, in the frame. */
  readonly neckPoint: (x: number, y: number, z: number) => Vec3;
  /** A point in the body's drawing coordinates (before distortion), in the frame. */
  readonly bodyPoint: (x: number, y: number, z: number) => Vec3;
  readonly upperArris: (x: number, side: Side) => Vec3;
  readonly lowerArris: (x: number, side: Side) => Vec3;
  readonly playing: (x: number, y: number) => Vec3;
  /** Height of the top's upper surface at x, y of the frame. */
  readonly topAt: (x: number, y: number) => number;
}

export function framedSurface(instrument: ModelInstrument, frame: TrueFrame = trueFrame(instrument)): FramedSurface {
  const { body, neck } = instrument;
  const { motion: m } = frame;
  const p = new Float64Array(3);
  const finish = (): Vec3 => [
    m[0] * p[0] + m[1] * p[1] + m[2] * p[2] + m[3],
    m[4] * p[0] + m[5] * p[1] + m[6] * p[2] + m[7],
    m[8] * p[0] + m[9] * p[1] + m[10] * p[2] + m[11],
  ];
  const neckPoint = (x: number, y: number, z: number): Vec3 => {
    p[0] = x;
    p[1] = y;
    p[2] = z;
    neck.place(p);
    return finish();
  };
  const bodyPoint = (x: number, y: number, z: number): Vec3 => {
    p[0] = x;
    p[1] = y;
    p[2] = z;
    body.deform(p);
    return finish();
  };
  return {
    instrument,
    frame,
    neckPoint,
    bodyPoint,
    upperArris: (x, side) => neckPoint(x, neck.upperY(x, side), neck.surfaceZ(x, neck.upperY(x, side))),
    lowerArris: (x, side) => neckPoint(x, neck.lowerY(x, side), neck.lowerZ(x)),
    playing: (x, y) => neckPoint(x, y, neck.surfaceZ(x, y)),
    topAt: (x, y) => {
      let u = x;
      let v = y;
      let q: Vec3 = [0, 0, 0];
      // The surface is nearly level and the frame nearly the drawing's: the differences settle quickly.
      for (let k = 0; k < 30; k++) {
        q = bodyPoint(u, v, body.topZ(u, v, body.edgeDistance(u, v)));
        u += x - q[0];
        v += y - q[1];
      }
      return q[2];
    },
  };
}
