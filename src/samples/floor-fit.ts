import type { Bins, FloorFeatures, Landmarks } from './floor-samples.ts';
import { circleRadius, straightLine, supportLine } from './truth-lines.ts';

/** A value of the floor fit, or why there is none. */
export type FloorValue = number | { readonly reason: string };

const DEGREES = 180 / Math.PI;
/** What a straight end across the board, and the mean of two notches, leave open in their place along it: shares of the spacing (standard). */
const END_LEFT = 0.1;
const NOTCH_LEFT = 0.25;
const missing = (reason: string): FloorValue => ({ reason });

/** Plain fits to known features: what an estimator that never has to search could give. `wobble` draws what sampling alone leaves open (mean 0, sd 1). */
export function floorFit(f: FloorFeatures, m: Landmarks, spacing: number, wobble: () => number): Record<string, FloorValue> {
  const out: Record<string, FloorValue> = {};
  const u = m.unit;
  const plane = edgePlane(f.crest, m);
  const line = middle(f, m);
  const joint = jointX(f, m);
  const step = spacing;
  const put = (id: string, value: FloorValue, ...needs: (string | undefined)[]) => {
    const reason = needs.find((r) => r !== undefined);
    out[id] = reason === undefined ? value : missing(reason);
  };
  const noPlane = plane ? undefined : 'the edge of the top is not seen far enough round';
  const noLine = line ? undefined : 'the outline is not seen on both sides of both bouts';
  const noJoint = joint === undefined ? 'the joint is not seen' : undefined;
  const A = plane ?? { a: 0, b: 0, c: 0 };
  const B = line ?? { at0: 0, slope: 0 };
  const C = joint ?? 0;
  const level = (b: Bins) => b.z.map((z, i) => z - A.c - A.a * b.x[i] - A.b * b.y[i]);
  const across = (b: Bins) => b.y.map((y, i) => y - B.at0 - B.slope * b.x[i]);

  // Board line.
  const noBoard = covers(f.ridge.x, m.start, m.end) ? undefined : 'the board is not seen from end to end';
  const ridge = noBoard ? undefined : parabola(f.ridge.x, level(f.ridge));
  const at = (x: number) => (ridge ? ridge[0] + ridge[1] * x + ridge[2] * x * x : 0);
  const x0 = m.start + 2;
  const x1 = m.end - 2;
  const slope = (at(x1) - at(x0)) / (x1 - x0);
  const z0 = at(x0) - slope * x0;
  put('neckAngle', Math.atan(slope) * DEGREES, noPlane, noBoard);
  // The station is known; what the joint leaves open moves it.
  const topStop = heightAt(f.topAtStop, level(f.topAtStop), m.stop);
  const topEnd = heightAt(f.topAtEnd, level(f.topAtEnd), m.end);
  const noStation = stationError(f);
  put(
    'projection',
    z0 + slope * m.stop - (topStop ?? 0),
    noPlane,
    noBoard,
    topStop === undefined ? 'the top at the bridge station is not seen' : undefined,
  );
  put(
    'boardEndHeight',
    z0 + slope * m.end - (topEnd ?? 0),
    noPlane,
    noBoard,
    topEnd === undefined ? "the top under the board's end is not seen" : undefined,
  );
  const noNut =
    f.nut.k.length > 0 && f.nut.k[0] > 20 && Math.min(...f.ridge.x, Infinity) < m.start + 6 * u ? undefined : 'the nut is not seen';
  const noEnd = f.endFace.k[0] > 10 || Math.max(...f.ridge.x, -Infinity) > m.end - 2.5 * u ? undefined : "the board's end is not seen";
  const along = Math.hypot(1, slope);
  put('boardLength', (m.end - m.start) * along + END_LEFT * step * (wobble() + wobble()), noBoard, noNut, noEnd);
  const neckLength = (C - m.start) * along + END_LEFT * step * wobble();
  put('neckLength', neckLength, noNut, noJoint, noBoard);
  const stop = m.stop - C + NOTCH_LEFT * step * wobble();
  put('stop', stop, noJoint, noStation);
  put('stopRatio', neckLength / stop, noJoint, noNut, noStation, noBoard);

  // Board's middle, widths, lower arrises.
  const noSides =
    covers(f.sideBass.x, m.start, m.end) && covers(f.sideTreble.x, m.start, m.end) ? undefined : "the board's sides are not seen";
  if (noSides === undefined) {
    const bass = straightLine(f.sideBass.x, across(f.sideBass));
    const treble = straightLine(f.sideTreble.x, across(f.sideTreble));
    const mid = (bass.slope + treble.slope) / 2;
    put('boardYaw', Math.atan(mid) * DEGREES, noLine);
    put('boardOffset', (bass.at0 + treble.at0) / 2 + mid * m.stop, noLine);
    put('boardWidthNut', treble.at0 - bass.at0 + (treble.slope - bass.slope) * x0, noNut);
    put('boardWidthEnd', treble.at0 - bass.at0 + (treble.slope - bass.slope) * x1, noEnd);
  } else for (const id of ['boardYaw', 'boardOffset', 'boardWidthNut', 'boardWidthEnd']) put(id, 0, noSides);
  lowerArrises(f, m, level, put, noPlane);

  // Sections and scoops.
  const sections: [string, Bins, string | undefined][] = [
    ['boardRadiusNut', f.sectionNut, noNut],
    ['boardRadiusEnd', f.sectionEnd, noEnd],
  ];
  const rolls: (number | undefined)[] = [];
  for (const [id, b, no] of sections) {
    const seen = b.k.length >= 10;
    put(id, seen ? circleRadius(...inOrder(b)) : 0, no, seen ? undefined : 'the section is not seen');
    rolls.push(seen ? parabola(b.y, b.z)[1] : undefined);
  }
  put(
    'boardTwist',
    Math.atan((rolls[1] ?? 0) - (rolls[0] ?? 0)) * DEGREES,
    rolls.includes(undefined) ? "the board's ends are not seen" : undefined,
  );
  for (const [id, b] of [
    ['scoopBass', f.scoopBass],
    ['scoopCentre', f.ridge],
    ['scoopTreble', f.scoopTreble],
  ] as const) {
    const seen = covers(b.x, m.start, m.end);
    const q = seen ? quartic(b.x, b.z, x0, x1) : 0;
    put(id, q, seen ? undefined : 'the line along the board is not seen from end to end');
  }

  // Neck and heel.
  for (const [id, b] of [
    ['neckThicknessNut', f.backNut],
    ['neckThicknessHeel', f.backHeel],
  ] as const) {
    const x = (id === 'neckThicknessNut' ? 0.85 : 0.35) * m.start;
    put(
      id,
      b.k.length >= 4 ? (at(x) - mean(level(b))) / along : 0,
      noBoard,
      noJoint,
      b.k.length >= 4 ? undefined : 'the back of the neck is not seen there',
    );
  }
  const heelSeen = f.heel.k.length >= 8;
  const heel = heelSeen ? parabola(f.heel.z, f.heel.x) : [0, 0, 0];
  const zm = heelSeen ? mean(f.heel.z) : 0;
  put('heelLean', -Math.atan(heel[1] + 2 * heel[2] * zm - A.a) * DEGREES, noPlane, heelSeen ? undefined : 'the heel is not seen');
  const span = 0.35 * m.heelHeight;
  put('heelBow', (heel[2] * span * span) / 4, heelSeen ? undefined : 'the heel is not seen');

  // Body.
  const sides = widths(f.outline, m);
  put('widthUpper', sides.upper, sides.upper > 0 ? undefined : 'the upper bout is not seen on both sides');
  put('widthWaist', sides.waist, sides.waist > 0 ? undefined : 'the waist is not seen on both sides');
  put('widthLower', sides.lower, sides.lower > 0 ? undefined : 'the lower bout is not seen on both sides');
  const tail =
    f.tail.k.length >= 8 && Math.min(...f.tail.y) < -20 * u && Math.max(...f.tail.y) > 20 * u ? parabola(f.tail.y, f.tail.x)[0] : undefined;
  put('bodyLength', (tail ?? 0) - C, noJoint, tail === undefined ? 'the tail end is not seen' : undefined);
  const middleSeen = Math.min(...f.topMiddle.x, Infinity) < 0.4 * m.length && Math.max(...f.topMiddle.x, -Infinity) > 0.62 * m.length;
  const arch = f.topMiddle.k.length >= 12 && middleSeen ? Math.max(...smoothed(f.topMiddle.x, level(f.topMiddle))) : undefined;
  put('archHeight', arch ?? 0, noPlane, arch === undefined ? 'the middle of the top is not seen' : undefined);
  const crest = level(f.crest);
  const noRound =
    noPlane ??
    (Math.min(...f.crest.x) < 0.12 * m.length && Math.max(...f.crest.x) > 0.88 * m.length ? undefined : 'the edge is not seen all round');
  put('edgeFlatnessRms', Math.sqrt(mean(crest.map((z) => z * z))), noRound);
  put('edgeFlatnessPV', crest.reduce((q, z) => Math.max(q, z), -9) - crest.reduce((q, z) => Math.min(q, z), 9), noRound);
  return out;
}

/** Plane z = a x + b y + c through the crest; none when it is not seen over most of the length on both sides. */
function edgePlane(b: Bins, m: Landmarks): { a: number; b: number; c: number } | undefined {
  if (b.k.length < 40) return undefined;
  const reach = (side: number) => {
    const xs = b.x.filter((_, i) => b.y[i] * side > 0);
    return xs.length > 10 ? Math.max(...xs) - Math.min(...xs) : 0;
  };
  if (reach(-1) < 0.4 * m.length || reach(1) < 0.4 * m.length) return undefined;
  const g = normalEquations(
    b.x.length,
    (i) => [b.x[i], b.y[i], 1],
    (i) => b.z[i],
  );
  return { a: g[0], b: g[1], c: g[2] };
}

/** Line through the outline's mid-points over 10–30 % and 70–90 %. */
function middle(f: FloorFeatures, m: Landmarks): { at0: number; slope: number } | undefined {
  const pairs = pairsOf(f.outline, m);
  const upper = pairs.filter((p) => p.x > 0.1 * m.length && p.x < 0.3 * m.length);
  const lower = pairs.filter((p) => p.x > 0.7 * m.length && p.x < 0.9 * m.length);
  if (upper.length < 8 || lower.length < 8) return undefined;
  const used = [...upper, ...lower];
  return straightLine(
    used.map((p) => p.x),
    used.map((p) => (p.bass + p.treble) / 2),
  );
}

function pairsOf(b: Bins, m: Landmarks): { x: number; bass: number; treble: number }[] {
  const cell = 3 * m.unit;
  const sides = new Map<number, { bass?: number; treble?: number }>();
  for (let i = 0; i < b.k.length; i++) {
    const key = Math.round(b.x[i] / cell);
    const at = sides.get(key) ?? {};
    // Both sides read at the cell's middle: the outline's own slope is taken from its normal.
    const y = b.y[i] - (b.nx[i] / (b.ny[i] || 1)) * (key * cell - b.x[i]);
    sides.set(key, b.y[i] < 0 ? { ...at, bass: y } : { ...at, treble: y });
  }
  const out: { x: number; bass: number; treble: number }[] = [];
  for (const [key, s] of sides)
    if (s.bass !== undefined && s.treble !== undefined) out.push({ x: key * cell, bass: s.bass, treble: s.treble });
  return out.sort((p, q) => p.x - q.x);
}

function widths(b: Bins, m: Landmarks): { upper: number; waist: number; lower: number } {
  const pairs = pairsOf(b, m);
  const inside = (from: number, to: number) =>
    pairs.filter((p) => p.x > from * m.length && p.x < to * m.length).map((p) => p.treble - p.bass);
  const upper = inside(0.12, 0.28);
  const waist = inside(0.44, 0.52);
  const lower = inside(0.72, 0.86);
  return {
    upper: upper.length > 4 ? Math.max(...upper) : 0,
    waist: waist.length > 2 ? Math.min(...waist) : 0,
    lower: lower.length > 4 ? Math.max(...lower) : 0,
  };
}

/** x where the outline, continued, meets the neck root, mean of both sides. */
function jointX(f: FloorFeatures, m: Landmarks): number | undefined {
  if (f.root.k.length < 2) return undefined;
  const u = m.unit;
  const root = (m.halfNut + m.halfEnd) / 2;
  const met: number[] = [];
  for (const side of [-1, 1]) {
    const x: number[] = [];
    const y: number[] = [];
    for (let i = 0; i < f.jointOutline.k.length; i++) {
      const beside = side * f.jointOutline.y[i] - root;
      if (beside < 0 || beside > 25 * u) continue;
      y.push(beside);
      x.push(f.jointOutline.x[i]);
    }
    if (x.length < 6) return undefined;
    met.push(parabola(y, x)[0]);
  }
  return (met[0] + met[1]) / 2;
}

function stationError(f: FloorFeatures): string | undefined {
  const notches = (f.notchBass.k[0] ?? 0) > 8 && (f.notchTreble.k[0] ?? 0) > 8;
  return notches || (f.bridge.k[0] ?? 0) > 200 ? undefined : 'neither notches nor bridge are seen';
}

function lowerArrises(
  f: FloorFeatures,
  m: Landmarks,
  level: (b: Bins) => number[],
  put: (id: string, v: FloorValue, ...n: (string | undefined)[]) => void,
  noPlane: string | undefined,
): void {
  const seen = (b: Bins) => b.k.length > 8 && Math.max(...b.x) - Math.min(...b.x) > 0.5 * (m.end - 8 * m.unit);
  const line = (b: Bins) => ({ z: straightLine(b.x, level(b)), y: straightLine(b.x, b.y) });
  const crest = (b: Bins, root: number) =>
    straightLine(
      b.y.map((y) => Math.abs(y - root)),
      level(b),
    ).at0;
  const no = seen(f.lowerBass) && seen(f.lowerTreble) ? undefined : "the free board's lower arrises are not seen";
  const noCrest = f.crestBass.k.length > 5 && f.crestTreble.k.length > 5 ? undefined : 'the crest beside the neck is not seen';
  if (no || noCrest) {
    for (const id of ['overstandBass', 'overstandTreble', 'overstand']) put(id, 0, no, noCrest);
    put('boardTilt', 0, no);
    return;
  }
  const bass = line(f.lowerBass);
  const treble = line(f.lowerTreble);
  const b = bass.z.at0 - crest(f.crestBass, bass.y.at0);
  const t = treble.z.at0 - crest(f.crestTreble, treble.y.at0);
  put('overstandBass', b, noPlane);
  put('overstandTreble', t, noPlane);
  put('overstand', (b + t) / 2, noPlane);
  put('boardTilt', Math.atan((treble.z.at0 - bass.z.at0) / (treble.y.at0 - bass.y.at0)) * DEGREES, noPlane);
}

const mean = (v: readonly number[]) => v.reduce((a, b) => a + b, 0) / v.length;

/** Whether bins reach both ends and leave no gap wider than a quarter. */
function covers(x: readonly number[], from: number, to: number): boolean {
  const length = to - from;
  const sorted = [from, ...x.filter((v) => v > from - 2 && v < to + 2).sort((a, b) => a - b), to];
  if (sorted.length < 14) return false;
  for (let i = 1; i < sorted.length; i++) {
    const end = i === 1 || i === sorted.length - 1;
    if (sorted[i] - sorted[i - 1] > (end ? 0.06 : 0.25) * length) return false;
  }
  return true;
}

/** Height of a patch at x on the centreline, by a full second-order surface. */
function heightAt(b: Bins, z: readonly number[], x: number): number | undefined {
  if (b.k.length < 20) return undefined;
  const near = (i: number) => [1, b.x[i] - x, b.y[i], (b.x[i] - x) ** 2, (b.x[i] - x) * b.y[i], b.y[i] ** 2];
  return normalEquations(b.k.length, near, (i) => z[i])[0];
}

function parabola(x: readonly number[], y: readonly number[]): [number, number, number] {
  const g = normalEquations(
    x.length,
    (i) => [1, x[i], x[i] * x[i]],
    (i) => y[i],
  );
  return [g[0], g[1], g[2]];
}

/** Deepest gap under the supporting line of a fourth-order profile. */
function quartic(x: readonly number[], z: readonly number[], from: number, to: number): number {
  const mid = (from + to) / 2;
  const half = (to - from) / 2;
  const row = (v: number) => {
    const t = (v - mid) / half;
    return [1, t, t * t, t ** 3, t ** 4];
  };
  const g = normalEquations(
    x.length,
    (i) => row(x[i]),
    (i) => z[i],
  );
  const xs = Array.from({ length: 101 }, (_, k) => from + ((to - from) * k) / 100);
  const zs = xs.map((v) => row(v).reduce((s, r, k) => s + r * g[k], 0));
  const line = supportLine(xs, zs);
  const gaps = xs.map((v, k) => line.z0 + line.slope * v - zs[k]);
  if (line.rocks) return -Math.max(...xs.map((v, k) => zs[k] - (zs[0] + ((zs[100] - zs[0]) * (v - from)) / (to - from))));
  return Math.max(...gaps) / Math.hypot(1, line.slope);
}

/** The same profile smoothed by a fourth-order polynomial. */
function smoothed(x: readonly number[], z: readonly number[]): number[] {
  const mid = mean(x);
  const half = (Math.max(...x) - Math.min(...x)) / 2;
  const row = (v: number) => [0, 1, 2, 3, 4].map((k) => ((v - mid) / half) ** k);
  const g = normalEquations(
    x.length,
    (i) => row(x[i]),
    (i) => z[i],
  );
  return x.map((v) => row(v).reduce((s, r, k) => s + r * g[k], 0));
}

function inOrder(b: Bins): [number[], number[]] {
  const order = b.y.map((_, i) => i).sort((p, q) => b.y[p] - b.y[q]);
  return [order.map((i) => b.y[i]), order.map((i) => b.z[i])];
}

/** Least squares by normal equations (few, well-scaled columns). */
function normalEquations(n: number, row: (i: number) => number[], value: (i: number) => number): number[] {
  const k = row(0).length;
  const m = Array.from({ length: k }, () => new Float64Array(k + 1));
  for (let i = 0; i < n; i++) {
    const r = row(i);
    const v = value(i);
    for (let a = 0; a < k; a++) {
      for (let b = 0; b < k; b++) m[a][b] += r[a] * r[b];
      m[a][k] += r[a] * v;
    }
  }
  for (let c = 0; c < k; c++) {
    let best = c;
    for (let r = c + 1; r < k; r++) if (Math.abs(m[r][c]) > Math.abs(m[best][c])) best = r;
    [m[c], m[best]] = [m[best], m[c]];
    for (let r = 0; r < k; r++) {
      if (r === c) continue;
      const f = m[r][c] / m[c][c];
      for (let q = c; q <= k; q++) m[r][q] -= f * m[c][q];
    }
  }
  return m.map((r, c) => r[k] / r[c]);
}
