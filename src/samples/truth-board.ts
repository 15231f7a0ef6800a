import { cross, dot, subtract, unit, type Vec3 } from '../geometry/vec3.ts';
import type { Side } from './neck.ts';
import { circleRadius, straightLine, supportLine, type SupportLine } from './truth-lines.ts';
import type { FramedSurface } from './truth-surface.ts';

export type Values = Record<string, number>;

/** Steps along the board at which profiles are read: 0.15 mm on a violin. */
const STEPS = 1800;
/** Ends of a profile that do not count, mm. */
const END = 2;
const DEGREES = 180 / Math.PI;

export interface BoardTruth {
  readonly values: Values;
  readonly secondary: Values;
  readonly line: SupportLine;
  /** The board's centreline y(x) = at0 + slope x. */
  readonly centre: { readonly at0: number; readonly slope: number };
  /** Lower arrises as straight lines: z and y over x, bass and treble. */
  readonly lower: readonly { readonly z: { at0: number; slope: number }; readonly y: { at0: number; slope: number } }[];
  readonly warnings: readonly string[];
}

/** Board values by their definitions; those at the bridge station are added by the caller. */
export function boardTruth(surface: FramedSurface): BoardTruth {
  const { instrument } = surface;
  const { neck, spec } = instrument;
  const b = spec.neck.board;
  const start = neck.boardStart;
  const end = neck.boardEnd;
  const length = instrument.body.spec.outline.length;
  const warnings: string[] = [];
  const xs = Array.from({ length: STEPS + 1 }, (_, i) => start + ((end - start) * i) / STEPS);

  const centre = centreline(surface);
  const ridge = xs.map((x) => onCentreline(surface, centre, x));
  const counted = ridge.filter((_, i) => xs[i] - start >= END - 1e-9 && end - xs[i] >= END - 1e-9);
  const line = supportLine(
    counted.map((p) => p[0]),
    counted.map((p) => p[2]),
  );
  if (line.rocks) warnings.push('hump');
  const theta = Math.atan(line.slope);
  const along: Vec3 = unit([1, centre.slope, line.slope]);
  const c = Math.cos(theta);
  const s = Math.sin(theta);
  const foot = (p: Vec3) => p[0] * c + (p[2] - line.z0) * s;
  const nut = ridge[0];
  const tip = ridge[STEPS];
  const neckLength = -foot(nut);
  const endX = tip[0];

  const lower = ([-1, 1] as const).map((side) => lowerLine(surface, side, length));
  const overstand = lower.map((l, k) => l.z.at0 - crestAt(surface, k === 0 ? -1 : 1, length));
  const tilt = Math.atan((lower[1].z.at0 - lower[0].z.at0) / (lower[1].y.at0 - lower[0].y.at0));
  const width = (x: number) => Math.hypot(...subtract(surface.upperArris(x, 1), surface.upperArris(x, -1)));
  const roll = (x: number) => {
    const d = subtract(surface.upperArris(x, 1), surface.upperArris(x, -1));
    return Math.atan2(d[2], d[1]);
  };
  const at = (share: number) => thickness(surface, line, neckLength, share);
  const values: Values = {
    neckAngle: theta * DEGREES,
    boardEndHeight: line.z0 + line.slope * endX - surface.topAt(endX, 0),
    overstandBass: overstand[0],
    overstandTreble: overstand[1],
    overstand: (overstand[0] + overstand[1]) / 2,
    boardYaw: Math.atan(centre.slope) * DEGREES,
    boardTilt: tilt * DEGREES,
    boardLength: foot(tip) - foot(nut),
    boardWidthNut: width(start + END),
    boardWidthEnd: width(end - END),
    boardRadiusNut: sectionRadius(surface, start + 10, along),
    boardRadiusEnd: sectionRadius(surface, end - 10, along),
    ...scoops(surface, centre, ridge),
    boardTwist: (roll(end - END) - roll(start + END)) * DEGREES,
    neckLength,
    neckThicknessNut: at(0.15),
    neckThicknessHeel: at(0.65),
  };
  const side = (x: number) =>
    ([-1, 1] as const).map((k) => Math.hypot(...subtract(surface.upperArris(x, k), surface.lowerArris(x, k)))).reduce((p, q) => p + q) / 2;
  const bed = Math.atan((lower[0].z.slope + lower[1].z.slope) / 2);
  const secondary: Values = { boardEdgeNut: side(start + 10), boardEdgeEnd: side(end - 10) };
  if (b.thinning === 0) {
    secondary.bedAngle = bed * DEGREES;
    secondary.boardWedge = (theta - bed) * DEGREES;
  } else warnings.push('thinned');
  if (b.flareBass !== 0 || b.flareTreble !== 0) warnings.push('flare');
  secondary.boardFlareBass = flareAt(surface, -1);
  secondary.boardFlareTreble = flareAt(surface, 1);
  return { values, secondary, line, centre, lower, warnings };
}

/** Upper arris at x = 0 of the frame. */
function arrisAtJoint(surface: FramedSurface, side: Side): Vec3 {
  let x = 0;
  let p: Vec3 = [0, 0, 0];
  for (let k = 0; k < 30; k++) {
    p = surface.upperArris(x, side);
    x -= p[0];
  }
  return p;
}

function centreline(surface: FramedSurface): { at0: number; slope: number } {
  const start = surface.instrument.neck.boardStart;
  const mid = (a: Vec3, b: Vec3) => [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
  const nut = mid(surface.upperArris(start, -1), surface.upperArris(start, 1));
  const joint = mid(arrisAtJoint(surface, -1), arrisAtJoint(surface, 1));
  const slope = (joint[1] - nut[1]) / (joint[0] - nut[0]);
  return { at0: joint[1] - slope * joint[0], slope };
}

/** The playing surface's point at neck coordinate x that lies on a line in plan. */
function onCentreline(surface: FramedSurface, line: { at0: number; slope: number }, x: number): Vec3 {
  let y = 0;
  let p: Vec3 = [0, 0, 0];
  for (let k = 0; k < 12; k++) {
    p = surface.playing(x, y);
    y -= p[1] - (line.at0 + line.slope * p[0]);
  }
  return p;
}

/** The straight line through the free lower arris from 8 mm (× size) beyond the joint to 2 mm before the board's end. */
function lowerLine(surface: FramedSurface, side: Side, length: number) {
  const end = surface.instrument.neck.boardEnd;
  const from = (8 * length) / 355;
  const points: Vec3[] = [];
  for (let i = 0; i <= STEPS; i++) {
    const x = end - END - ((end - END) * i) / STEPS;
    const p = surface.lowerArris(x, side);
    if (p[0] >= from) points.push(p);
  }
  const x = points.map((p) => p[0]);
  return {
    z: straightLine(
      x,
      points.map((p) => p[2]),
    ),
    y: straightLine(
      x,
      points.map((p) => p[1]),
    ),
  };
}

/** z of the crest beside the neck root, by the straight line from 5 to 20 mm (× size) beside it, produced to it. */
function crestAt(surface: FramedSurface, side: Side, length: number): number {
  const { frame } = surface;
  const root = frame.joints[side < 0 ? 0 : 1];
  const unitLength = length / 355;
  const y: number[] = [];
  const z: number[] = [];
  const crest = frame.crest;
  for (let i = 0; i < crest.length; i += 3) {
    const beside = side * (crest[i + 1] - root[1]);
    if (crest[i] > 0.2 * length || beside < 5 * unitLength || beside > 20 * unitLength) continue;
    y.push(beside);
    z.push(crest[i + 2]);
  }
  return straightLine(y, z).at0;
}

/** Radius of the section square to the board line, its rounded arrises left out. */
function sectionRadius(surface: FramedSurface, x: number, along: Vec3): number {
  const { neck, spec } = surface.instrument;
  const out = (1.5 * spec.neck.board.widthEnd) / 42;
  const from = neck.upperY(x, -1) + out;
  const to = neck.upperY(x, 1) - out;
  const origin = surface.playing(x, 0);
  const across = unit(cross([0, 0, 1], along));
  const up = cross(along, across);
  const u: number[] = [];
  const v: number[] = [];
  for (let k = 0; k <= 400; k++) {
    const y = from + ((to - from) * k) / 400;
    let at = x;
    let d = subtract(surface.playing(at, y), origin);
    for (let j = 0; j < 8; j++) {
      at -= dot(d, along);
      d = subtract(surface.playing(at, y), origin);
    }
    u.push(dot(d, across));
    v.push(dot(d, up));
  }
  return circleRadius(u, v);
}

function scoops(surface: FramedSurface, centre: { at0: number; slope: number }, ridge: readonly Vec3[]): Values {
  const { neck, spec } = surface.instrument;
  const start = neck.boardStart;
  const end = neck.boardEnd;
  const inset = spec.class === 'violin' ? 4 : (4 * spec.neck.board.widthEnd) / 42;
  const middle = (start + end) / 2;
  const e = 0.5;
  const mid = onCentreline(surface, centre, middle);
  const length = subtract(onCentreline(surface, centre, end - END), onCentreline(surface, centre, start + END));
  const acrossAt = surface.playing(middle, e);
  const acrossTo = surface.playing(middle, -e);
  const normal = unit(cross(length, subtract(acrossAt, acrossTo)));
  const depth = (points: readonly Vec3[]): number => {
    const along = unit(subtract(points[points.length - 1], points[0]));
    const up = unit(subtract(normal, [along[0] * dot(normal, along), along[1] * dot(normal, along), along[2] * dot(normal, along)]));
    const x = points.map((p) => dot(subtract(p, mid), along));
    const z = points.map((p) => dot(subtract(p, mid), up));
    const line = supportLine(x, z);
    let gap = -Infinity;
    if (!line.rocks) {
      for (let i = 0; i < x.length; i++) if (x[i] >= line.from && x[i] <= line.to) gap = Math.max(gap, line.z0 + line.slope * x[i] - z[i]);
      return gap / Math.hypot(1, line.slope);
    }
    const n = x.length - 1;
    for (let i = 0; i <= n; i++) gap = Math.max(gap, z[i] - (z[0] + ((z[n] - z[0]) * (x[i] - x[0])) / (x[n] - x[0])));
    return -gap;
  };
  const counted = (points: readonly Vec3[]) =>
    points.filter((_, i) => ((end - start) * i) / STEPS >= END - 1e-9 && ((end - start) * (STEPS - i)) / STEPS >= END - 1e-9);
  // Beside the arris at nut and x = 0, carried on straight where the board widens.
  const path = (side: Side) => {
    const y0 = neck.upperY(start, side);
    const y1 = neck.upperY(0, side);
    return Array.from({ length: STEPS + 1 }, (_, i) => {
      const x = start + ((end - start) * i) / STEPS;
      return surface.playing(x, y0 + ((y1 - y0) * (x - start)) / -start - side * inset);
    });
  };
  return { scoopBass: depth(counted(path(-1))), scoopCentre: depth(counted(ridge)), scoopTreble: depth(counted(path(1))) };
}

/** Board surface to the neck's back, square to the board line in the plane of the centreline. */
function thickness(surface: FramedSurface, line: SupportLine, neckLength: number, share: number): number {
  const { neck } = surface.instrument;
  const theta = Math.atan(line.slope);
  const s = -neckLength * (1 - share);
  const origin: Vec3 = [s * Math.cos(theta), 0, line.z0 + s * Math.sin(theta)];
  const along: Vec3 = [Math.cos(theta), 0, Math.sin(theta)];
  const up: Vec3 = [-Math.sin(theta), 0, Math.cos(theta)];
  const height = (point: (x: number) => Vec3): number => {
    let x = s;
    let d: Vec3 = [0, 0, 0];
    for (let k = 0; k < 40; k++) {
      d = subtract(point(x), origin);
      x -= dot(d, along);
    }
    return dot(d, up);
  };
  const centre = centreline(surface);
  const backZ = (x: number) => {
    const { contour } = neck;
    let i = 0;
    while (i + 2 < contour.length && contour[i + 1][0] < x) i++;
    return contour[i][1] + ((contour[i + 1][1] - contour[i][1]) * (x - contour[i][0])) / (contour[i + 1][0] - contour[i][0]);
  };
  return height((x) => onCentreline(surface, centre, x)) - height((x) => surface.neckPoint(x, 0, backZ(x)));
}

/** How far the arris lies, in plan, outside the straight line through it between nut and x = 0, at the board's end. */
function flareAt(surface: FramedSurface, side: Side): number {
  const { neck } = surface.instrument;
  const a = surface.upperArris(neck.boardStart, side);
  const b = arrisAtJoint(surface, side);
  const p = surface.upperArris(neck.boardEnd, side);
  const dx = b[0] - a[0];
  const dy = b[1] - a[1];
  return (side * ((p[1] - a[1]) * dx - (p[0] - a[0]) * dy)) / Math.hypot(dx, dy);
}
