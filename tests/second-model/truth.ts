import type { Body } from './body.ts';
import type { InstrumentClass, SetKind } from './dimensions.ts';
import type { BridgeStand, StringLine } from './fittings.ts';
import type { TrueFrame } from './frame.ts';
import { fitCircle, fitLine, type Line2, orthogonalDirection, straightedge } from './lines.ts';
import type { Neck } from './neck.ts';

export interface TrueValues {
  readonly values: Record<string, number>;
  readonly secondary: Record<string, number>;
  readonly byStation: Record<string, Record<string, number>>;
  readonly stopSource: string;
  readonly warnings: string[];
  readonly boardLine: { readonly z0: number; readonly slope: number };
  readonly topCentre: readonly (readonly [number, number])[];
  /** feature lines in the frame, for the floor fits */
  readonly features: Features;
}

export interface Features {
  /** ridge profile x, y, z */
  readonly ridge: Float64Array;
  readonly upper: readonly [Float64Array, Float64Array];
  readonly lower: readonly [Float64Array, Float64Array];
  readonly heel: Float64Array;
  readonly neckBack: Float64Array;
}

const DEG = 180 / Math.PI;
/** what does not count at each end of the board, mm */
const BOARD_ENDS = 2;
const SAMPLES = 1200;
export const USUAL_RATIO: Record<InstrumentClass, number> = { violin: 2 / 3, viola: 2 / 3, cello: 0.7, bass: 0.74 };
export const EARLY_RATIO = 0.645;

export function measureTruth(
  body: Body,
  neck: Neck,
  frame: TrueFrame,
  kind: InstrumentClass,
  set: SetKind,
  bridge: BridgeStand | undefined,
  strings: readonly StringLine[] | undefined,
  givenStop: number | undefined,
): TrueValues {
  const values: Record<string, number> = {};
  const secondary: Record<string, number> = {};
  const warnings: string[] = [];
  const size = frame.bodyLength / 355;
  const p = new Float64Array(3);

  // body
  values['bodyLength'] = frame.bodyLength;
  const width = (x: number): number => frame.outlineY(x, 1) - frame.outlineY(x, -1);
  const L = frame.bodyLength;
  values['widthUpper'] = extreme(width, 0.06 * L, 0.33 * L, 1);
  values['widthWaist'] = extreme(width, 0.4 * L, 0.56 * L, -1);
  values['widthLower'] = extreme(width, 0.66 * L, 0.95 * L, 1);
  let [sum, n, low, high] = [0, 0, Infinity, -Infinity];
  for (let i = 0; i < frame.inA.length; i++) {
    if (!frame.inA[i]) continue;
    const z = frame.crest[i * 3 + 2];
    sum += z * z;
    n++;
    low = Math.min(low, z);
    high = Math.max(high, z);
  }
  values['edgeFlatnessRms'] = Math.sqrt(sum / n);
  values['edgeFlatnessPV'] = high - low;
  const top = (x: number): number => topHeight(body, frame, x, 0);
  values['archHeight'] = extreme(top, 0.25 * L, 0.8 * L, 1);

  // board: arrises, centreline, ridge, line
  const arris = (u: number, side: 1 | -1, out: Float64Array): void => {
    const v = side * neck.upperHalf(u, side);
    neck.boardPoint(u, v, neck.surface(u, v), out);
    frame.to(out[0], out[1], out[2], out);
  };
  const free = (u: number, side: 1 | -1, out: Float64Array): void => {
    neck.boardPoint(u, side * neck.lowerHalf(u, side), neck.lower(u), out);
    frame.to(out[0], out[1], out[2], out);
  };
  const uAtZero = (curve: typeof arris, side: 1 | -1): number =>
    root(
      (u) => {
        curve(u, side, p);
        return p[0];
      },
      -15 * size,
      15 * size,
    );
  const middle = (u: (side: 1 | -1) => number): readonly [number, number] => {
    arris(u(-1), -1, p);
    const [x1, y1] = [p[0], p[1]];
    arris(u(1), 1, p);
    return [(x1 + p[0]) / 2, (y1 + p[1]) / 2];
  };
  const atNut = middle(() => -neck.length);
  const atJoint = middle((s) => uAtZero(arris, s));
  const yaw = (atJoint[1] - atNut[1]) / (atJoint[0] - atNut[0]);
  const centreY = (x: number): number => atJoint[1] + yaw * (x - atJoint[0]);
  values['boardYaw'] = Math.atan(yaw) * DEG;
  const onCentre = (u: number, out: Float64Array): void => {
    const v = root(
      (t) => {
        neck.boardPoint(u, t, neck.surface(u, t), out);
        frame.to(out[0], out[1], out[2], out);
        return out[1] - centreY(out[0]);
      },
      -4 * size,
      4 * size,
    );
    neck.boardPoint(u, v, neck.surface(u, v), out);
    frame.to(out[0], out[1], out[2], out);
  };
  const ridge = curve3(onCentre, -neck.length, neck.end, SAMPLES);
  const [rx, rz] = [column(ridge, 0), column(ridge, 2)];
  const keep = (i: number): boolean =>
    Math.hypot(rx[i] - rx[0], rz[i] - rz[0]) >= BOARD_ENDS &&
    Math.hypot(rx[i] - rx[rx.length - 1], rz[i] - rz[rx.length - 1]) >= BOARD_ENDS;
  const line = boardLineOf(
    rx.filter((_, i) => keep(i)),
    rz.filter((_, i) => keep(i)),
    warnings,
  );
  const alpha = Math.atan(line.slope);
  const [ca, sa] = [Math.cos(alpha), Math.sin(alpha)];
  const along = (x: number, z: number): number => x * ca + (z - line.at0) * sa;
  const off = (x: number, z: number): number => -x * sa + (z - line.at0) * ca;
  values['neckAngle'] = alpha * DEG;
  const [nutAlong, endAlong] = [along(rx[0], rz[0]), along(rx[SAMPLES], rz[SAMPLES])];
  values['boardLength'] = endAlong - nutAlong;
  values['neckLength'] = -nutAlong;
  values['boardEndHeight'] = line.at0 + line.slope * rx[SAMPLES] - top(rx[SAMPLES]);
  const widthAt = (u: number): readonly [number, number] => {
    const a = new Float64Array(3);
    const b = new Float64Array(3);
    arris(u, -1, a);
    arris(u, 1, b);
    return [Math.hypot(b[0] - a[0], b[1] - a[1], b[2] - a[2]), Math.atan2(b[2] - a[2], b[1] - a[1])];
  };
  const [wNut, wEnd] = [widthAt(-neck.length + BOARD_ENDS), widthAt(neck.end - BOARD_ENDS)];
  values['boardWidthNut'] = wNut[0];
  values['boardWidthEnd'] = wEnd[0];
  values['boardTwist'] = (wEnd[1] - wNut[1]) * DEG;
  const rounded = (1.5 * values['boardWidthEnd']) / 42;
  values['boardRadiusNut'] = sectionRadius(neck, frame, along, off, nutAlong + 10, rounded);
  values['boardRadiusEnd'] = sectionRadius(neck, frame, along, off, endAlong - 10, rounded);
  if (neck.facet) warnings.push('facet under the lowest string');

  // scoop, along the normal of the board's middle
  const mid = (neck.end - neck.length) / 2;
  const normal = surfaceNormal(neck, frame, mid);
  const inset = kind === 'violin' ? 4 : (4 * values['boardWidthEnd']) / 42;
  const straightHalf = (u: number, side: 1 | -1): number => {
    const [a, b] = [-neck.length, uAtZero(arris, side)];
    return neck.upperHalf(a, side) + ((neck.upperHalf(b, side) - neck.upperHalf(a, side)) * (u - a)) / (b - a);
  };
  const halves = { [-1]: straight(straightHalf, -1), 1: straight(straightHalf, 1) };
  const scoop = (at: (u: number, out: Float64Array) => void): number => {
    const c = curve3(at, -neck.length, neck.end, SAMPLES);
    const dir = [c[SAMPLES * 3] - c[0], c[SAMPLES * 3 + 1] - c[1], c[SAMPLES * 3 + 2] - c[2]];
    const m = Math.hypot(dir[0], dir[1], dir[2]);
    const t: number[] = [];
    const h: number[] = [];
    for (let i = 0; i <= SAMPLES; i++) {
      const d = [c[i * 3] - c[0], c[i * 3 + 1] - c[1], c[i * 3 + 2] - c[2]];
      t.push((d[0] * dir[0] + d[1] * dir[1] + d[2] * dir[2]) / m);
      h.push(d[0] * normal[0] + d[1] * normal[1] + d[2] * normal[2]);
    }
    return scoopOf(t, h);
  };
  const lengthwise =
    (v: (u: number) => number) =>
    (u: number, out: Float64Array): void => {
      neck.boardPoint(u, v(u), neck.surface(u, v(u)), out);
      frame.to(out[0], out[1], out[2], out);
    };
  values['scoopBass'] = scoop(lengthwise((u) => -(halves[-1](u) - inset)));
  values['scoopCentre'] = scoop(onCentre);
  values['scoopTreble'] = scoop(lengthwise((u) => halves[1](u) - inset));

  // lower arrises and overstand
  const lowerCurves = [-1, 1].map((s) => curve3((u, out) => free(u, s as 1 | -1, out), -neck.length, neck.end, SAMPLES));
  const fits = lowerCurves.map((c) => freeArris(c, 8 * size));
  values['overstandBass'] = fits[0].z.at0 - crestBeside(frame, -1, size);
  values['overstandTreble'] = fits[1].z.at0 - crestBeside(frame, 1, size);
  values['overstand'] = (values['overstandBass'] + values['overstandTreble']) / 2;
  values['boardTilt'] = Math.atan2(fits[1].z.at0 - fits[0].z.at0, fits[1].y.at0 - fits[0].y.at0) * DEG;
  if (neck.thinned) warnings.push('board thinned from below');
  if (neck.flare) warnings.push('board widened');
  if (!neck.thinned) {
    secondary['bedAngle'] = Math.atan((fits[0].z.slope + fits[1].z.slope) / 2) * DEG;
    secondary['boardWedge'] = values['neckAngle'] - secondary['bedAngle'];
  }
  secondary['boardEdgeEnd'] = ([-1, 1] as const).reduce((s, side) => {
    const u = neck.end - 10;
    const a = new Float64Array(3);
    const b = new Float64Array(3);
    arris(u, side, a);
    free(u, side, b);
    return s + (off(a[0], a[2]) - off(b[0], b[2])) / 2;
  }, 0);
  if (neck.flare)
    for (const side of [-1, 1] as const) {
      const a = new Float64Array(3);
      const b = new Float64Array(3);
      arris(-neck.length, side, a);
      arris(uAtZero(arris, side), side, b);
      const c = new Float64Array(3);
      arris(neck.end, side, c);
      const y = b[1] + ((b[1] - a[1]) / (b[0] - a[0])) * (c[0] - b[0]);
      secondary[side < 0 ? 'boardFlareBass' : 'boardFlareTreble'] = side * (c[1] - y);
    }

  // neck and heel
  const neckBack = contour(neck, frame, centreY);
  const thickness = (share: number): number => {
    const at = nutAlong + share * values['neckLength'];
    return offAt(ridge, along, off, at, 1) - offAt(neckBack, along, off, at, -1);
  };
  values['neckThicknessNut'] = thickness(0.15);
  values['neckThicknessHeel'] = thickness(0.65);
  const heel = heelOf(
    neck,
    frame,
    fits.map((f) => f.z),
  );
  values['heelLean'] = heel.lean;
  values['heelBow'] = heel.bow;
  secondary['heelHeight'] = heel.height;

  // the station
  const notch = body.notches.map(([x, y]) => {
    body.moved(x, y, body.top(x, y, body.distance(x, y)), p);
    frame.to(p[0], p[1], p[2], p);
    return [p[0], p[1]];
  });
  secondary['stopBass'] = notch[0][0];
  secondary['stopTreble'] = notch[1][0];
  secondary['notchOffset'] = (notch[0][1] + notch[1][1]) / 2;
  const stations: Record<string, number> = { notches: (notch[0][0] + notch[1][0]) / 2 };
  if (bridge) {
    frame.to(bridge.x, bridge.y, body.top(bridge.x, bridge.y, 40), p);
    stations['bridge'] = p[0];
  }
  stations['assumed'] = values['neckLength'] / (set === 'early' ? EARLY_RATIO : USUAL_RATIO[kind]);
  if (givenStop !== undefined) stations['given'] = givenStop;
  const byStation: Record<string, Record<string, number>> = {};
  for (const [name, x] of Object.entries(stations))
    byStation[name] = {
      stop: x,
      ...(name === 'assumed' ? {} : { stopRatio: values['neckLength'] / x }),
      projection: line.at0 + line.slope * x - top(x),
      boardOffset: centreY(x),
    };
  const stopSource = givenStop === undefined ? 'notches' : 'given';
  Object.assign(values, byStation[stopSource]);
  for (const [id, at] of [
    ['ribHeightUpper', 0.05],
    ['ribHeightLower', 0.95],
  ] as const)
    secondary[id] = ribHeight(body, frame, at * L);
  if (bridge) Object.assign(secondary, bridgeTruth(body, frame, bridge, centreY, line, nutAlong));
  if (bridge && strings) {
    secondary['stringHeightBass'] = stringGap(neck, frame, strings[0]);
    secondary['stringHeightTreble'] = stringGap(neck, frame, strings[3]);
  }
  const topCentre: [number, number][] = [];
  for (let x = Math.ceil(0.2 * L); x <= 0.64 * L; x++) topCentre.push([x, top(x)]);
  const upper = [-1, 1].map((s) => curve3((u, out) => arris(u, s as 1 | -1, out), -neck.length, neck.end, SAMPLES));
  return {
    values,
    secondary,
    byStation,
    stopSource,
    warnings,
    boardLine: { z0: line.at0, slope: line.slope },
    topCentre,
    features: { ridge, upper: [upper[0], upper[1]], lower: [lowerCurves[0], lowerCurves[1]], heel: heel.contour, neckBack },
  };
}

/** the straightedge, or the least-squares line where it would rock on a hump */
export function boardLineOf(x: readonly number[], z: readonly number[], warnings: string[]): Line2 {
  const edge = straightedge(x, z);
  if (edge.span >= 0.5) return edge;
  warnings.push('humped board: least-squares line');
  return fitLine(x, z);
}

/** deepest gap under the straightedge (2 mm at each end do not count), or minus the hump's height over the chord */
export function scoopOf(t: readonly number[], h: readonly number[]): number {
  const last = t[t.length - 1];
  const keep = t.map((v) => v - t[0] >= BOARD_ENDS && last - v >= BOARD_ENDS);
  const [x, z] = [t.filter((_, i) => keep[i]), h.filter((_, i) => keep[i])];
  const edge = straightedge(x, z);
  if (edge.span >= 0.5) {
    const c = Math.cos(Math.atan(edge.slope));
    // between the two places where it rests: beyond them it overhangs
    return Math.max(...x.map((v, i) => (v < edge.from || v > edge.till ? 0 : (edge.at0 + edge.slope * v - z[i]) * c)));
  }
  const slope = (z[z.length - 1] - z[0]) / (x[x.length - 1] - x[0]);
  return -Math.max(...x.map((v, i) => z[i] - z[0] - slope * (v - x[0]))) * Math.cos(Math.atan(slope));
}

function straight(f: (u: number, side: 1 | -1) => number, side: 1 | -1): (u: number) => number {
  const [a, b] = [f(0, side), f(100, side)];
  return (u) => a + ((b - a) * u) / 100;
}

function column(points: Float64Array, c: number): number[] {
  return Array.from({ length: points.length / 3 }, (_, i) => points[i * 3 + c]);
}

function curve3(at: (u: number, out: Float64Array) => void, from: number, till: number, n: number): Float64Array {
  const out = new Float64Array((n + 1) * 3);
  const p = new Float64Array(3);
  for (let i = 0; i <= n; i++) {
    at(from + ((till - from) * i) / n, p);
    out.set(p, i * 3);
  }
  return out;
}

/** secant with bisection as its safety; f changes sign on [a, b] */
function root(f: (t: number) => number, a: number, b: number): number {
  let [lo, hi] = [a, b];
  let [fl, fh] = [f(lo), f(hi)];
  if (fl * fh > 0) throw new RangeError(`no change of sign between ${a} and ${b}`);
  for (let i = 0; i < 80; i++) {
    let t = lo - (fl * (hi - lo)) / (fh - fl);
    if (!(t > lo && t < hi) || i % 3 === 2) t = (lo + hi) / 2;
    const v = f(t);
    if (Math.abs(v) < 1e-12 || hi - lo < 1e-12) return t;
    if (v * fl > 0) [lo, fl] = [t, v];
    else [hi, fh] = [t, v];
  }
  return (lo + hi) / 2;
}

/** greatest (sign 1) or least (−1) of a smooth function: a walk, then a parabola's worth of golden section */
function extreme(f: (x: number) => number, from: number, till: number, sign: 1 | -1): number {
  const n = 160;
  let best = -Infinity;
  let at = from;
  for (let i = 0; i <= n; i++) {
    const x = from + ((till - from) * i) / n;
    const v = sign * f(x);
    if (v > best) [best, at] = [v, x];
  }
  const step = (till - from) / n;
  let [a, b] = [Math.max(from, at - step), Math.min(till, at + step)];
  for (let i = 0; i < 24; i++) {
    const l = a + (b - a) * 0.381966;
    const r = b - (b - a) * 0.381966;
    if (sign * f(l) < sign * f(r)) a = l;
    else b = r;
  }
  return sign * Math.max(best, sign * f((a + b) / 2));
}

/** z of the top's surface at plan place x, y of the frame */
export function topHeight(body: Body, frame: TrueFrame, x: number, y: number): number {
  const p = new Float64Array(3);
  let [X, Y] = [frame.origin[0] + x, frame.origin[1] + y];
  for (let i = 0; i < 30; i++) {
    body.moved(X, Y, body.top(X, Y, body.distance(X, Y)), p);
    frame.to(p[0], p[1], p[2], p);
    const [ex, ey] = [x - p[0], y - p[1]];
    X += ex;
    Y += ey;
    if (Math.hypot(ex, ey) < 1e-10) break;
  }
  return p[2];
}

/** y and z against x of the free lower arris, even by length */
function freeArris(c: Float64Array, from: number): { readonly y: Line2; readonly z: Line2 } {
  const n = c.length / 3;
  const last = (n - 1) * 3;
  const [xs, ys, zs, w]: number[][] = [[], [], [], []];
  for (let i = 1; i < n - 1; i++) {
    const o = i * 3;
    if (c[o] < from || Math.hypot(c[last] - c[o], c[last + 1] - c[o + 1], c[last + 2] - c[o + 2]) < BOARD_ENDS) continue;
    xs.push(c[o]);
    ys.push(c[o + 1]);
    zs.push(c[o + 2]);
    w.push(Math.hypot(c[o + 3] - c[o - 3], c[o + 4] - c[o - 2], c[o + 5] - c[o - 1]));
  }
  return { y: fitLine(xs, ys, w), z: fitLine(xs, zs, w) };
}

/** height of the crest line from 5 to 20 mm (× size) beside the root, produced to the root's side */
function crestBeside(frame: TrueFrame, side: 1 | -1, size: number): number {
  const joint = frame.joints[side < 0 ? 0 : 1];
  const [t, z, w]: number[][] = [[], [], []];
  const n = frame.crest.length / 3;
  for (let i = 0; i < n; i++) {
    const [x, y] = [frame.crest[i * 3], frame.crest[i * 3 + 1]];
    if (x > 0.2 * frame.bodyLength) continue;
    const beside = side * (y - joint[1]);
    if (beside < 5 * size || beside > 20 * size) continue;
    const a = ((i + 1) % n) * 3;
    const b = ((i + n - 1) % n) * 3;
    t.push(beside);
    z.push(frame.crest[i * 3 + 2]);
    w.push(Math.hypot(frame.crest[a] - frame.crest[b], frame.crest[a + 1] - frame.crest[b + 1]));
  }
  return fitLine(t, z, w).at0;
}

function sectionRadius(
  neck: Neck,
  frame: TrueFrame,
  along: (x: number, z: number) => number,
  off: (x: number, z: number) => number,
  at: number,
  rounded: number,
): number {
  const p = new Float64Array(3);
  const n = 240;
  const place = (v: number): readonly [number, number] => {
    const u = root(
      (t) => {
        neck.boardPoint(t, v, neck.surface(t, v), p);
        frame.to(p[0], p[1], p[2], p);
        return along(p[0], p[2]) - at;
      },
      -neck.length - 40,
      neck.end + 40,
    );
    neck.boardPoint(u, v, neck.surface(u, v), p);
    frame.to(p[0], p[1], p[2], p);
    return [p[1], off(p[0], p[2])];
  };
  const u0 = at < 0 ? -neck.length + 10 : neck.end - 10;
  const [lo, hi] = [-neck.upperHalf(u0, -1) + rounded, neck.upperHalf(u0, 1) - rounded];
  const from = neck.facet ? Math.max(lo, facetEnd(neck, u0) + 0.2) : lo;
  // even by arc length: cambers are round, so even in the angle
  const R = 1.02 * Math.max(neck.dims.radius, hi);
  const [a, b] = [Math.asin(from / R), Math.asin(hi / R)];
  const xs: number[] = [];
  const ys: number[] = [];
  for (let i = 0; i <= n; i++) {
    const [y, w] = place(R * Math.sin(a + ((b - a) * i) / n));
    xs.push(y);
    ys.push(w);
  }
  return fitCircle(xs, ys);
}

/** v where a flat facet ends: the kink of the section */
function facetEnd(neck: Neck, u: number): number {
  const half = neck.upperHalf(u, -1);
  const e = 0.02 * half;
  let best = 0;
  let at = -half;
  for (let v = -0.9 * half; v < 0.3 * half; v += e / 4) {
    const kink = Math.abs(neck.surface(u, v + e) - 2 * neck.surface(u, v) + neck.surface(u, v - e));
    if (kink > best) [best, at] = [kink, v];
  }
  return at + e;
}

function surfaceNormal(neck: Neck, frame: TrueFrame, u: number): readonly number[] {
  const at = (a: number, v: number): readonly number[] => {
    const p = new Float64Array(3);
    neck.boardPoint(a, v, neck.surface(a, v), p);
    frame.to(p[0], p[1], p[2], p);
    return [...p];
  };
  const [a, b, c, d] = [at(u - 1, 0), at(u + 1, 0), at(u, -1), at(u, 1)];
  const s = b.map((x, i) => x - a[i]);
  const t = d.map((x, i) => x - c[i]);
  const n = [s[1] * t[2] - s[2] * t[1], s[2] * t[0] - s[0] * t[2], s[0] * t[1] - s[1] * t[0]];
  const m = Math.hypot(n[0], n[1], n[2]);
  return n.map((x) => x / m);
}

/** outer contour of the wood in the vertical plane y = y(x), nut to button, x y z flat */
function contour(neck: Neck, frame: TrueFrame, y: (x: number) => number): Float64Array {
  const q = new Float64Array(3);
  const p = new Float64Array(3);
  const out = new Float64Array(neck.sections * 3);
  for (let i = 0; i < neck.sections; i++) {
    const at = (phi: number): number => {
      neck.loft(i, phi, q);
      neck.place(q[0], q[1], q[2], p);
      frame.to(p[0], p[1], p[2], p);
      return p[1] - y(p[0]);
    };
    at(root(at, -1.2, 1.2));
    out.set(p, i * 3);
  }
  return out;
}

/** signed distance off the board line where a curve passes `at`; the outermost in the sense of `side` */
function offAt(
  c: Float64Array,
  along: (x: number, z: number) => number,
  off: (x: number, z: number) => number,
  at: number,
  side: 1 | -1,
): number {
  let best = Number.NaN;
  for (let i = 0; i + 3 < c.length; i += 3) {
    const [a, b] = [along(c[i], c[i + 2]), along(c[i + 3], c[i + 5])];
    if ((a <= at && b > at) || (b <= at && a > at)) {
      const f = (at - a) / (b - a);
      const v = off(c[i], c[i + 2]) + (off(c[i + 3], c[i + 5]) - off(c[i], c[i + 2])) * f;
      if (Number.isNaN(best) || v * side > best * side) best = v;
    }
  }
  return best;
}

function heelOf(
  neck: Neck,
  frame: TrueFrame,
  arrises: readonly Line2[],
): { readonly lean: number; readonly bow: number; readonly height: number; readonly contour: Float64Array } {
  const all = contour(neck, frame, () => 0);
  // lowest point of the button's face on y = 0 at x ≤ 0
  const q = new Float64Array(3);
  const p = new Float64Array(3);
  let low = Infinity;
  const last = neck.sections - 1;
  for (let i = 0; i <= 300; i++) {
    const r = i / 300;
    const G = neck.gx[last];
    neck.loft(last, 0, q);
    neck.place(G + (q[0] - G) * r, 0, neck.buttonZ - 0.02 * neck.dims.buttonLength * (1 - r * r), p);
    frame.to(p[0], p[1], p[2], p);
    if (p[0] <= 0) low = Math.min(low, p[2]);
  }
  const xAt = (z: number): number => {
    for (let i = neck.sections - 2; i >= 0; i--) {
      const [a, b] = [all[i * 3 + 2], all[i * 3 + 5]];
      if (b <= z && a > z) return all[i * 3 + 3] + ((all[i * 3] - all[i * 3 + 3]) * (z - b)) / (a - b);
    }
    return all[last * 3];
  };
  let height = frame.joints[0][2] - low;
  for (let i = 0; i < 40; i++) {
    const x = xAt(low + height / 2);
    height = (arrises[0].at0 + arrises[0].slope * x + arrises[1].at0 + arrises[1].slope * x) / 2 - low;
  }
  const [z0, z1] = [low + 0.15 * height, low + 0.5 * height];
  const pts: [number, number][] = [[xAt(z0), z0]];
  for (let i = last; i >= 0; i--) {
    const z = all[i * 3 + 2];
    if (z >= z1) break;
    if (z > z0) pts.push([all[i * 3], z]);
  }
  pts.push([xAt(z1), z1]);
  const even = resample(pts, 400);
  const [dx, dz] = orthogonalDirection(
    even.map((e) => e[0]),
    even.map((e) => e[1]),
  );
  const lean = Math.atan2(-dx * Math.sign(dz), Math.abs(dz)) * DEG;
  const [a, b] = [even[0], even[even.length - 1]];
  const m = Math.hypot(b[0] - a[0], b[1] - a[1]);
  let bow = 0;
  for (const [x, z] of even) {
    const d = (-(x - a[0]) * (b[1] - a[1]) + (z - a[1]) * (b[0] - a[0])) / m;
    if (Math.abs(d) > Math.abs(bow)) bow = d;
  }
  return { lean, bow, height, contour: Float64Array.from(even.flatMap(([x, z]) => [x, 0, z])) };
}

function resample(points: readonly (readonly [number, number])[], n: number): [number, number][] {
  const s = [0];
  for (let i = 1; i < points.length; i++) s.push(s[i - 1] + Math.hypot(points[i][0] - points[i - 1][0], points[i][1] - points[i - 1][1]));
  const out: [number, number][] = [];
  let k = 0;
  for (let i = 0; i <= n; i++) {
    const t = (s[s.length - 1] * i) / n;
    while (k < points.length - 2 && s[k + 1] < t) k++;
    const f = (t - s[k]) / Math.max(1e-12, s[k + 1] - s[k]);
    out.push([points[k][0] + (points[k + 1][0] - points[k][0]) * f, points[k][1] + (points[k + 1][1] - points[k][1]) * f]);
  }
  return out;
}

function ribHeight(body: Body, frame: TrueFrame, x: number): number {
  const p = new Float64Array(3);
  let sum = 0;
  for (const side of [-1, 1] as const) {
    const y = frame.outlineY(x, side) - side * 0.8 * body.overhang;
    // plan place in the body, near enough for these nearly level faces
    const X = frame.origin[0] + frame.axes[0][0] * x + frame.axes[1][0] * y;
    const Y = frame.origin[1] + frame.axes[0][1] * x + frame.axes[1][1] * y;
    body.moved(X, Y, body.underTop(X, Y), p);
    frame.to(p[0], p[1], p[2], p);
    const high = p[2];
    body.moved(X, Y, body.overBack(X, Y), p);
    frame.to(p[0], p[1], p[2], p);
    sum += (high - p[2]) / 2;
  }
  return sum;
}

function bridgeTruth(
  body: Body,
  frame: TrueFrame,
  bridge: BridgeStand,
  centreY: (x: number) => number,
  line: Line2,
  nutAlong: number,
): Record<string, number> {
  const p = new Float64Array(3);
  const tailX = (z: number): number =>
    bridge.x + bridge.foot / 2 + 0.65 * body.scale + (z - (bridge.crown(0) - bridge.height)) * Math.tan(bridge.lean);
  // crown on the board's centreline: middle of its narrow top
  let v = 0;
  for (let i = 0; i < 20; i++) {
    const z = bridge.crown(v);
    frame.to(tailX(z) - 0.65 * body.scale, bridge.y + v, z, p);
    v += centreY(p[0]) - p[1];
  }
  const crown = [p[0], p[1], p[2]];
  const a = Math.atan(line.slope);
  const nut = [nutAlong * Math.cos(a), centreY(nutAlong), line.at0 + nutAlong * Math.sin(a)];
  frame.to(bridge.x, bridge.y + v, crown[2] - bridge.height, p);
  const foot = topHeight(body, frame, p[0], crown[1]);
  const k = body.scale;
  let sx = body.dims.body - 6 * k;
  while (body.distance(sx, 0) > 0.05 && sx < body.dims.body + k) sx += 0.05 * k;
  frame.to(sx - 2.9 * k, 0, (3.4 * k - body.edge) / 2 + (3.4 * k + body.edge) / 2, p);
  const saddle = [p[0], p[1], p[2]];
  const s = [nut[0] - crown[0], nut[1] - crown[1], nut[2] - crown[2]];
  const t = [saddle[0] - crown[0], saddle[1] - crown[1], saddle[2] - crown[2]];
  const dot = s[0] * t[0] + s[1] * t[1] + s[2] * t[2];
  const face = [0, 10].map((z) => {
    frame.to(tailX(z), bridge.y, z, p);
    return [p[0], p[2]];
  });
  return {
    stringLength: Math.hypot(s[0], s[1], s[2]),
    stringAngle: Math.acos(dot / (Math.hypot(s[0], s[1], s[2]) * Math.hypot(t[0], t[1], t[2]))) * DEG,
    bridgeHeight: crown[2] - foot,
    bridgeLean: Math.atan2(face[1][0] - face[0][0], face[1][1] - face[0][1]) * DEG,
  };
}

/** gap between the board's surface and the underside of a string at the board's end, square to the board */
function stringGap(neck: Neck, frame: TrueFrame, string: StringLine): number {
  const p = new Float64Array(3);
  const [a, b] = [0, 1].map((i) => {
    const s = i === 0 ? string.start : string.top;
    frame.to(s[0], s[1], s[2], p);
    return [...p];
  });
  let best = Infinity;
  const q = new Float64Array(3);
  for (let v = -neck.upperHalf(neck.end, -1); v <= neck.upperHalf(neck.end, 1); v += 0.05) {
    neck.boardPoint(neck.end, v, neck.surface(neck.end, v), q);
    frame.to(q[0], q[1], q[2], q);
    const f = (q[0] - a[0]) / (b[0] - a[0]);
    best = Math.min(best, Math.hypot(q[1] - a[1] - (b[1] - a[1]) * f, q[2] - a[2] - (b[2] - a[2]) * f));
  }
  return best - string.radius;
}
