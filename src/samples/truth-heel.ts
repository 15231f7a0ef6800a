import type { Vec3 } from '../geometry/vec3.ts';
import { buttonFaceZ } from './button-face.ts';
import { sectionPoint, sweepNeck } from './neck-sweep.ts';
import type { Values } from './truth-board.ts';
import type { FramedSurface } from './truth-surface.ts';

const DEGREES = 180 / Math.PI;
/** The stretch of the contour that counts, as shares of the heel's height. */
const FROM = 0.15;
const TO = 0.5;
const POINTS = 4000;

/** Lean, bow and height of the heel by their definitions. */
export function heelTruth(surface: FramedSurface): { values: Values; secondary: Values } {
  const { instrument } = surface;
  const { neck, body } = instrument;
  const sweep = sweepNeck(neck, body);
  const out = new Float64Array(3);
  // The contour in the plane y = 0 of the frame, from the throat down.
  const contour: Vec3[] = [];
  for (let i = 0; i <= POINTS; i++) {
    const section = sweep.section(sweep.throatAt + ((sweep.length - sweep.throatAt) * i) / POINTS);
    let phi = 0;
    let p: Vec3 = [0, 0, 0];
    for (let k = 0; k < 20; k++) {
      sectionPoint(section, phi, out);
      p = surface.neckPoint(out[0], out[1], out[2]);
      phi -= p[1] / section.half;
    }
    contour.push(p);
  }
  const face = buttonFaceZ(body);
  const rim = 0.35 * body.spec.edgeThickness;
  let lowest = Infinity;
  for (let k = 0; k <= 100; k++) {
    const p = surface.bodyPoint(-(body.spec.buttonLength - rim) * (k / 100), 0, face);
    if (p[0] <= 0) lowest = Math.min(lowest, p[2]);
  }
  let height = -lowest;
  for (let k = 0; k < 20; k++) {
    const x = atHeight(contour, lowest + height / 2)[0];
    height = lowerArrises(surface, x) - lowest;
  }
  const part = stretch(contour, lowest + FROM * height, lowest + TO * height);
  const { lean, bow } = lineOf(part);
  return { values: { heelLean: lean, heelBow: bow }, secondary: { heelHeight: height } };
}

function atHeight(contour: readonly Vec3[], z: number): Vec3 {
  for (let i = 0; i + 1 < contour.length; i++) {
    const a = contour[i];
    const b = contour[i + 1];
    if (a[2] > z === b[2] > z) continue;
    const f = (z - a[2]) / (b[2] - a[2]);
    return [a[0] + f * (b[0] - a[0]), 0, z];
  }
  throw new RangeError(`the heel's contour does not reach the height ${z.toFixed(2)} mm`);
}

/** Mean height of the lower arrises at x of the frame. */
function lowerArrises(surface: FramedSurface, x: number): number {
  let sum = 0;
  for (const side of [-1, 1] as const) {
    let at = x;
    let p = surface.lowerArris(at, side);
    for (let k = 0; k < 20; k++) {
      at -= p[0] - x;
      p = surface.lowerArris(at, side);
    }
    sum += p[2] / 2;
  }
  return sum;
}

/** The contour between two heights, upwards, even by arc length. */
function stretch(contour: readonly Vec3[], low: number, high: number): Vec3[] {
  const inner = contour.filter((p) => p[2] > low && p[2] < high).sort((a, b) => a[2] - b[2]);
  const points = [atHeight(contour, low), ...inner, atHeight(contour, high)];
  const s = [0];
  for (let i = 1; i < points.length; i++) s.push(s[i - 1] + Math.hypot(points[i][0] - points[i - 1][0], points[i][2] - points[i - 1][2]));
  const count = 1000;
  const even: Vec3[] = [];
  for (let k = 0, i = 0; k <= count; k++) {
    const at = (s[s.length - 1] * k) / count;
    while (i + 2 < s.length && s[i + 1] < at) i++;
    const f = (at - s[i]) / (s[i + 1] - s[i]);
    even.push([points[i][0] + f * (points[i + 1][0] - points[i][0]), 0, points[i][2] + f * (points[i + 1][2] - points[i][2])]);
  }
  return even;
}

/** Orthogonal least-squares line of a contour that stands nearly upright, and its deviation from its own chord. */
function lineOf(points: readonly Vec3[]): { lean: number; bow: number } {
  const n = points.length;
  const mx = points.reduce((t, p) => t + p[0], 0) / n;
  const mz = points.reduce((t, p) => t + p[2], 0) / n;
  let [xx, xz, zz] = [0, 0, 0];
  for (const p of points) {
    xx += (p[0] - mx) ** 2;
    xz += (p[0] - mx) * (p[2] - mz);
    zz += (p[2] - mz) ** 2;
  }
  // Angle of the main axis from z towards x; the top leans to the scroll when x falls as z rises.
  const angle = 0.5 * Math.atan2(2 * xz, zz - xx);
  const a = points[0];
  const b = points[n - 1];
  const length = Math.hypot(b[0] - a[0], b[2] - a[2]);
  let bow = 0;
  for (const p of points) {
    // Positive towards the scroll (smaller x).
    const d = ((p[2] - a[2]) * (b[0] - a[0]) - (p[0] - a[0]) * (b[2] - a[2])) / length;
    if (Math.abs(d) > Math.abs(bow)) bow = d;
  }
  return { lean: -angle * DEGREES, bow };
}
