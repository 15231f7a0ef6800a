import type { Body } from './body.ts';
import { buttonFaceZ } from './button-face.ts';
import type { BoardSpec, NeckSpec } from './neck-spec.ts';

/** Bass is −1, treble is +1: the sign of y. */
export type Side = -1 | 1;

/**
 * Neck and board as functions in neck coordinates: x along the glue line with the nut's front at −length, z = 0 at the glue line.
 * `place` takes neck coordinates to the drawing coordinates of the body.
 */
export interface Neck {
  readonly spec: NeckSpec;
  /** x of the board's two ends. */
  readonly boardStart: number;
  readonly boardEnd: number;
  /** Playing surface, its arrises not rounded. */
  readonly surfaceZ: (x: number, y: number) => number;
  readonly upperY: (x: number, side: Side) => number;
  readonly lowerY: (x: number, side: Side) => number;
  readonly lowerZ: (x: number) => number;
  /** Underside of the free board. */
  readonly undersideZ: (x: number, y: number) => number;
  /** Outer contour of neck and heel in the plane y = 0, from the nut to the button: x, z. */
  readonly contour: readonly (readonly [number, number])[];
  /** Index of the contour where the throat begins, and where the heel's free-form lower part begins. */
  readonly throatFrom: number;
  readonly heelFrom: number;
  /** In place: neck coordinates to the body's drawing coordinates. */
  readonly place: (p: Float64Array) => void;
}

/** Share of the heel's height up to which its contour is the plain leaning, bowed line of the spec. */
const HEEL_LINE_UP_TO = 0.525;

export function buildNeck(spec: NeckSpec, body: Body): Neck {
  const b = spec.board;
  const start = -spec.length;
  const end = start + b.length;
  const surfaceZ = boardSurface(b, start);
  const place = placement(spec, b, start);
  const lowerZ = (x: number) => (x > 0 ? b.thinning * (x / end) : 0);
  const upperY = (x: number, side: Side) => side * halfWidth(b, start, x) + side * flare(b, end, x, side);
  const lowerY = (x: number, side: Side) => upperY(x, side) - side * b.undercut;
  return {
    spec,
    boardStart: start,
    boardEnd: end,
    surfaceZ,
    upperY,
    lowerY,
    lowerZ,
    undersideZ: (x, y) => lowerZ(x) + underHollow(b, end, x, y, Math.abs(lowerY(x, y < 0 ? -1 : 1))),
    ...neckContour(spec, body, surfaceZ),
    place,
  };
}

const halfWidth = (b: BoardSpec, start: number, x: number) => (b.widthNut + ((b.widthEnd - b.widthNut) * (x - start)) / b.length) / 2;

function flare(b: BoardSpec, end: number, x: number, side: Side): number {
  const amount = side < 0 ? b.flareBass : b.flareTreble;
  if (amount === 0 || x <= b.flareFrom) return 0;
  const t = (x - b.flareFrom) / (end - b.flareFrom);
  return amount * t * t * (3 - 2 * Math.min(1, t)) ** (t < 1 ? 1 : 0);
}

function boardSurface(b: BoardSpec, start: number): (x: number, y: number) => number {
  // Ruled from the nut's section to the end's, each line hollowed by a parabola; the depth across is a parabola, too,
  // through the scoops 4 mm (scaled) from the arrises and in the middle.
  const inset = (4 * b.widthEnd) / 42;
  const halfNut = b.widthNut / 2;
  const halfEnd = b.widthEnd / 2;
  const arc = (radius: number, half: number, v: number) =>
    Math.sqrt(radius * radius - v * v * half * half) - Math.sqrt(radius * radius - half * half);
  const side = (b.scoopTreble - b.scoopBass) / 2;
  const bow = (b.scoopTreble + b.scoopBass) / 2 - b.scoopCentre;
  return (x, y) => {
    const t = (x - start) / b.length;
    const half = halfWidth(b, start, x);
    const v = y / half;
    const w = y / (half - inset);
    const nut = b.edgeNut + arc(b.radiusNut, halfNut, v);
    const end = b.edgeEnd + arc(b.radiusEnd, halfEnd, v);
    return nut + (end - nut) * t - (b.scoopCentre + side * w + bow * w * w) * 4 * t * (1 - t);
  };
}

function underHollow(b: BoardSpec, end: number, x: number, y: number, half: number): number {
  if (x <= 0) return 0;
  const t = Math.min(1, x / (0.35 * end));
  const ramp = t * t * (3 - 2 * t);
  const flat = 0.3 * half;
  const v = y / (half - flat);
  return Math.abs(v) >= 1 ? 0 : b.hollow * ramp * (1 - v * v) ** 1.5;
}

function placement(spec: NeckSpec, b: BoardSpec, start: number): (p: Float64Array) => void {
  const cb = Math.cos(spec.bedAngle);
  const sb = Math.sin(spec.bedAngle);
  const cr = Math.cos(spec.roll);
  const sr = Math.sin(spec.roll);
  const cy = Math.cos(spec.yaw);
  const sy = Math.sin(spec.yaw);
  return (p) => {
    // Twist about the glue line and bend, in neck coordinates; both leave the heel (x near 0) alone.
    const angle = (spec.twist * p[0]) / b.length;
    const ct = Math.cos(angle);
    const st = Math.sin(angle);
    const y0 = p[1] * ct - p[2] * st;
    const u = p[0] / start;
    const z0 = p[1] * st + p[2] * ct + (u > 0 ? spec.hump * 4 * u * u * Math.exp(1 - 4 * u * u) : 0);
    // Pitch, then roll (treble up is positive), then yaw (the bridge end towards treble is positive).
    const x1 = p[0] * cb - z0 * sb;
    const z1 = p[0] * sb + z0 * cb;
    const y2 = y0 * cr - z1 * sr;
    const z2 = y0 * sr + z1 * cr;
    p[0] = x1 * cy - y2 * sy;
    p[1] = spec.offset + x1 * sy + y2 * cy;
    p[2] = spec.overstand + z2;
  };
}

/** Draws the contour in neck coordinates; the heel's line is given against the body, so it is turned back by the bed angle. */
function neckContour(spec: NeckSpec, body: Body, surfaceZ: Neck['surfaceZ']): Pick<Neck, 'contour' | 'throatFrom' | 'heelFrom'> {
  const at = (share: number) => -spec.length * (1 - share);
  const [xa, xb] = [at(0.15), at(0.65)];
  const za = surfaceZ(xa, 0) - spec.thicknessNut;
  const zb = surfaceZ(xb, 0) - spec.thicknessHeel;
  const slope = (zb - za) / (xb - xa);
  const back = (x: number) => za + slope * (x - xa);
  const contour: [number, number][] = [];
  const xThroat = -spec.heel.throat;
  const steps = 240;
  // The neck's wood goes on under the nut into the pegbox.
  const from = -spec.length - spec.nutLength - 2;
  for (let k = 0; k < steps; k++) {
    const x = from + ((xThroat - from) * k) / steps;
    contour.push([x, back(x)]);
  }
  const throatFrom = contour.length;
  const toNeck = (x: number, z: number): [number, number] => {
    const dz = z - spec.overstand;
    return [x * Math.cos(spec.bedAngle) + dz * Math.sin(spec.bedAngle), -x * Math.sin(spec.bedAngle) + dz * Math.cos(spec.bedAngle)];
  };
  const face = buttonFaceZ(body);
  const height = spec.overstand - face;
  const foot = -(body.spec.buttonLength - 0.12 * body.spec.edgeThickness);
  const heelX = (s: number) => {
    const q = (s / height - 0.15) / 0.35;
    return foot - Math.tan(spec.heel.lean) * s - 4 * spec.heel.bow * q * (1 - q);
  };
  const s1 = HEEL_LINE_UP_TO * height;
  const p0: [number, number] = [xThroat, back(xThroat)];
  const p3 = toNeck(heelX(s1), face + s1);
  const below = toNeck(heelX(s1 - 0.01), face + s1 - 0.01);
  const tangent = [(p3[0] - below[0]) / 0.01, (p3[1] - below[1]) / 0.01];
  // Where the neck's back and the heel's line, both produced, meet.
  const rise = (back(p3[0]) - p3[1]) / (tangent[1] - slope * tangent[0]);
  const corner: [number, number] = [p3[0] + rise * tangent[0], p3[1] + rise * tangent[1]];
  const pull = 0.56;
  const bezierSteps = 160;
  for (let k = 0; k < bezierSteps; k++) {
    const t = k / bezierSteps;
    const m = 1 - t;
    const mix = (i: 0 | 1) => {
      const c1 = p0[i] + pull * (corner[i] - p0[i]);
      const c2 = p3[i] + pull * (corner[i] - p3[i]);
      return m * m * m * p0[i] + 3 * m * m * t * c1 + 3 * m * t * t * c2 + t * t * t * p3[i];
    };
    contour.push([mix(0), mix(1)]);
  }
  const heelFrom = contour.length;
  const foots = 200;
  for (let k = 0; k <= foots; k++) {
    const s = s1 * (1 - k / foots) + (0.3 * body.spec.edgeThickness * k) / foots;
    contour.push(toNeck(heelX(s), face + s));
  }
  return { contour, throatFrom, heelFrom };
}
