import { linearLeastSquares } from '../../numerics/linear-least-squares.ts';
import type { EvaluationContext, PartSamples } from '../family.ts';
import type { Samples } from '../../geometry/samples.ts';

/** Names of the station family's samples. */
export const STATION = {
  /** Tip of each notch, twice: its first sample errs along x, its second along y. */
  notchBass: 'station.notchBass',
  notchTreble: 'station.notchTreble',
  /** Two samples in one place; their distance along x is by how much one notch misses the mean of both. */
  otherSide: 'station.otherSide',
  /** Where the bridge's two faces stand on the top. */
  feet: 'bridge.feet',
  tailFace: 'bridge.tailFace',
  /** Twice: the first sample errs along z, the second along x. */
  crown: 'bridge.crown',
  top: 'bridge.top',
  /** The saddle's top edge, twice: the first sample errs along z, the second along x. */
  saddle: 'saddle.edge',
} as const;

const DEGREES = 180 / Math.PI;

/**
 * Sets stopBass, stopTreble, notchOffset, bridgeHeight, bridgeLean, stringLength and stringAngle, and in `shared` `station.notches` and `station.bridge`
 * (x, mm), `bridge.crownX`, `bridge.crownZ`, `saddle.x` and `saddle.z`.
 */
export function evaluateStation(samples: PartSamples, context: EvaluationContext): void {
  evaluateNotches(samples, context);
  evaluateBridge(samples, context);
  const saddle = samples[STATION.saddle];
  if (saddle !== undefined) {
    context.shared.set('saddle.x', saddle.xyz[3]);
    context.shared.set('saddle.z', saddle.xyz[2]);
  }
  evaluateStrings(context);
}

function evaluateNotches(samples: PartSamples, { values, shared }: EvaluationContext): void {
  const bass = samples[STATION.notchBass];
  const treble = samples[STATION.notchTreble];
  if (bass !== undefined) values.set('stopBass', bass.xyz[0]);
  if (treble !== undefined) values.set('stopTreble', treble.xyz[0]);
  if (bass !== undefined && treble !== undefined) {
    values.set('notchOffset', (bass.xyz[4] + treble.xyz[4]) / 2);
    shared.set('station.notches', (bass.xyz[0] + treble.xyz[0]) / 2);
  } else if (bass !== undefined || treble !== undefined) {
    const one = (bass ?? treble) as Samples;
    const other = samples[STATION.otherSide];
    shared.set('station.notches', one.xyz[0] + (other === undefined ? 0 : other.xyz[0] - other.xyz[3]));
  }
}

function evaluateBridge(samples: PartSamples, { values, shared, size }: EvaluationContext): void {
  const feet = samples[STATION.feet];
  const face = samples[STATION.tailFace];
  const crown = samples[STATION.crown];
  const top = samples[STATION.top];
  if (face !== undefined) {
    const lean = leanOf(face);
    if (lean !== undefined) values.set('bridgeLean', lean);
  }
  if (feet === undefined) return;
  const [station] = meanOf(feet);
  shared.set('station.bridge', station);
  if (crown === undefined) return;
  const [y, z] = [crown.xyz[1], crown.xyz[2]];
  const x = crown.xyz[3];
  const centre = shared.get('boardCentre.y0');
  const centreSlope = shared.get('boardCentre.slope') ?? 0;
  // The crown is nearly level between the inner strings: from where it was seen to the board's centreline it follows its own arc.
  const at = centre === undefined ? y : centre + centreSlope * x;
  const crownZ = z - ((at - y) * (at - y)) / (2 * CROWN_RADIUS * size);
  shared.set('bridge.crownX', x);
  shared.set('bridge.crownZ', crownZ);
  if (top === undefined) return;
  const height = heightAt(top, station, at);
  if (height !== undefined) values.set('bridgeHeight', crownZ - height);
}

/** mm × size. Radius of a bridge's crown in its middle. */
const CROWN_RADIUS = 42;

function evaluateStrings({ values, shared }: EvaluationContext): void {
  const z0 = shared.get('boardLine.z0');
  const slope = shared.get('boardLine.slope');
  const nutX = shared.get('board.nutX');
  const crownX = shared.get('bridge.crownX');
  const crownZ = shared.get('bridge.crownZ');
  if (z0 === undefined || slope === undefined || nutX === undefined || crownX === undefined || crownZ === undefined) return;
  const dx = crownX - nutX;
  const dz = crownZ - z0 - slope * nutX;
  values.set('stringLength', Math.hypot(dx, dz));
  const saddleX = shared.get('saddle.x');
  const saddleZ = shared.get('saddle.z');
  if (saddleX === undefined || saddleZ === undefined) return;
  values.set('stringAngle', 180 - (Math.atan2(dz, dx) + Math.atan2(crownZ - saddleZ, saddleX - crownX)) * DEGREES);
}

/** Weighted mean position. */
function meanOf(samples: Samples): [number, number, number] {
  const sum = [0, 0, 0];
  let total = 0;
  for (let i = 0; i < samples.count; i++) {
    total += samples.weight[i];
    for (let k = 0; k < 3; k++) sum[k] += samples.weight[i] * samples.xyz[3 * i + k];
  }
  return [sum[0] / total, sum[1] / total, sum[2] / total];
}

/** Angle (degrees) of a nearly upright face to the z axis, positive where its top lies towards the tail. */
function leanOf(face: Samples): number | undefined {
  if (face.count < 4) return undefined;
  const design = new Float64Array(3 * face.count);
  const x = new Float64Array(face.count);
  for (let i = 0; i < face.count; i++) {
    design.set([1, face.xyz[3 * i + 2], face.xyz[3 * i + 1]], 3 * i);
    x[i] = face.xyz[3 * i];
  }
  return Math.atan(linearLeastSquares(design, 3, x, face.weight).coefficients[1]) * DEGREES;
}

/** Height of the top at x, y by a quadratic through its samples. */
function heightAt(top: Samples, x: number, y: number): number | undefined {
  if (top.count < 9) return undefined;
  const design = new Float64Array(6 * top.count);
  const z = new Float64Array(top.count);
  for (let i = 0; i < top.count; i++) {
    const u = (top.xyz[3 * i] - x) / 10;
    const v = (top.xyz[3 * i + 1] - y) / 10;
    design.set([1, u, v, u * u, u * v, v * v], 6 * i);
    z[i] = top.xyz[3 * i + 2];
  }
  return linearLeastSquares(design, 6, z, top.weight).coefficients[0];
}
