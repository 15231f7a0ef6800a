import { recordOf } from '../geometry/record-of.ts';
import { PART } from './part.ts';

/** Labelled noise-free points of one scan, in the true instrument frame (mm). */
export interface FloorInput {
  /** 3n coordinates and unit normals. */
  readonly points: ArrayLike<number>;
  readonly normals: ArrayLike<number>;
  /** `PART` codes. */
  readonly labels: ArrayLike<number>;
  readonly noise: {
    readonly sigma: number;
    readonly amplitude: number;
    readonly length: number;
    readonly kernel: 'gaussian' | 'exponential';
  };
  /** Median distance of neighbouring points, mm. */
  readonly spacing: number;
  /** The true values, headline and secondary (heelHeight, stopBass, stopTreble, notchOffset are read from there). */
  readonly values: Readonly<Record<string, number>>;
  readonly secondary: Readonly<Record<string, number>>;
}

/** Where known parts lie, from the true values. */
export interface Landmarks {
  readonly unit: number;
  readonly length: number;
  readonly start: number;
  readonly end: number;
  readonly halfNut: number;
  readonly halfEnd: number;
  /** Board's centreline y = at0 + slope x. */
  readonly at0: number;
  readonly slope: number;
  readonly buttonZ: number;
  readonly heelHeight: number;
  readonly stop: number;
}

export function landmarksOf(input: FloorInput): Landmarks {
  const v = input.values;
  const degree = Math.PI / 180;
  const theta = v.neckAngle * degree;
  const unit = v.bodyLength / 355;
  const slope = Math.tan(v.boardYaw * degree);
  const start = -v.neckLength * Math.cos(theta);
  const bed = (input.secondary.bedAngle ?? v.neckAngle - 1) * degree;
  return {
    unit,
    length: v.bodyLength,
    start,
    end: start + v.boardLength * Math.cos(theta),
    halfNut: v.boardWidthNut / 2,
    halfEnd: v.boardWidthEnd / 2,
    at0: v.boardOffset - slope * v.stop,
    slope,
    buttonZ: v.overstand - 14 * unit * Math.tan(bed) - input.secondary.heelHeight,
    heelHeight: input.secondary.heelHeight,
    stop: v.stop,
  };
}

/** Means of points in cells: position, normal, how many. The noise of a mean of k points is σ/√k. */
export interface Bins {
  readonly x: number[];
  readonly y: number[];
  readonly z: number[];
  readonly nx: number[];
  readonly ny: number[];
  readonly nz: number[];
  readonly k: number[];
}

/** Features that plain fits work on. */
export interface FloorFeatures {
  readonly crest: Bins;
  readonly outline: Bins;
  readonly jointOutline: Bins;
  readonly root: Bins;
  readonly tail: Bins;
  readonly ridge: Bins;
  readonly scoopBass: Bins;
  readonly scoopTreble: Bins;
  readonly sideBass: Bins;
  readonly sideTreble: Bins;
  readonly lowerBass: Bins;
  readonly lowerTreble: Bins;
  readonly sectionNut: Bins;
  readonly sectionEnd: Bins;
  readonly nut: Bins;
  readonly endFace: Bins;
  readonly topAtStop: Bins;
  readonly topAtEnd: Bins;
  readonly topMiddle: Bins;
  readonly backNut: Bins;
  readonly backHeel: Bins;
  readonly heel: Bins;
  readonly notchBass: Bins;
  readonly notchTreble: Bins;
  readonly bridge: Bins;
  readonly crestBass: Bins;
  readonly crestTreble: Bins;
}

class Binner implements Bins {
  readonly x: number[] = [];
  readonly y: number[] = [];
  readonly z: number[] = [];
  readonly nx: number[] = [];
  readonly ny: number[] = [];
  readonly nz: number[] = [];
  readonly k: number[] = [];
  private readonly index = new Map<number, number>();

  add(key: number, x: number, y: number, z: number, nx: number, ny: number, nz: number): void {
    let i = this.index.get(key);
    if (i === undefined) {
      i = this.k.length;
      this.index.set(key, i);
      for (const a of [this.x, this.y, this.z, this.nx, this.ny, this.nz, this.k]) a.push(0);
    }
    const n = this.k[i] + 1;
    this.x[i] += (x - this.x[i]) / n;
    this.y[i] += (y - this.y[i]) / n;
    this.z[i] += (z - this.z[i]) / n;
    this.nx[i] += (nx - this.nx[i]) / n;
    this.ny[i] += (ny - this.ny[i]) / n;
    this.nz[i] += (nz - this.nz[i]) / n;
    this.k[i] = n;
  }

  /** Keeps the lowest point of each cell instead of the mean. */
  lowest(key: number, x: number, y: number, z: number, nx: number, ny: number, nz: number): void {
    const i = this.index.get(key);
    if (i !== undefined && this.z[i] <= z) return;
    if (i === undefined) this.add(key, x, y, z, nx, ny, nz);
    else [this.x[i], this.y[i], this.z[i], this.nx[i], this.ny[i], this.nz[i]] = [x, y, z, nx, ny, nz];
  }
}

/** Collects the points of each known feature. */
export function floorFeatures(input: FloorInput, m: Landmarks): FloorFeatures {
  const names = [
    'crest',
    'outline',
    'jointOutline',
    'root',
    'tail',
    'ridge',
    'scoopBass',
    'scoopTreble',
    'sideBass',
    'sideTreble',
    'lowerBass',
    'lowerTreble',
    'sectionNut',
    'sectionEnd',
    'nut',
    'endFace',
    'topAtStop',
    'topAtEnd',
    'topMiddle',
    'backNut',
    'backHeel',
    'heel',
    'notchBass',
    'notchTreble',
    'bridge',
    'crestBass',
    'crestTreble',
  ] as const;
  const f = recordOf(names, () => new Binner());
  const { points: p, normals: n, labels } = input;
  for (let i = 0; i < labels.length; i++) {
    const a: Six = [p[3 * i], p[3 * i + 1], p[3 * i + 2], n[3 * i], n[3 * i + 1], n[3 * i + 2]];
    switch (labels[i]) {
      case PART.edge:
      case PART.topUnderside:
        edgePoint(f, m, a);
        break;
      case PART.top:
        topPoint(f, m, a);
        break;
      case PART.playingSurface:
        boardPoint(f, m, a);
        break;
      case PART.boardSideBass:
      case PART.boardSideTreble:
        sidePoint(f, m, a, labels[i] === PART.boardSideBass);
        break;
      case PART.boardEnd:
        f.endFace.add(0, ...a);
        break;
      case PART.nut:
        if (Math.abs(a[0] - m.start) < 3 * m.unit) f.nut.add(0, ...a);
        break;
      case PART.neck:
      case PART.heel:
        neckPoint(f, m, a);
        break;
      case PART.fWall:
        notchPoint(f, m, a, input);
        break;
      case PART.bridge:
        f.bridge.add(0, ...a);
        break;
    }
  }
  return f;
}

type Six = [number, number, number, number, number, number];
type Found = { readonly [K in keyof FloorFeatures]: Binner };

function edgePoint(f: Found, m: Landmarks, a: Six): void {
  const [x, y, z, , , nz] = a;
  const u = m.unit;
  const cell = 4 * u;
  if (nz > 0.9 && z > -0.45 * u && z < 1.2 * u) {
    const nearBoard = x < 30 * u && Math.abs(y - m.at0) < m.halfEnd;
    const nearSaddle = x > m.length - 8 * u && Math.abs(y) < 0.065 * m.length;
    if (!nearBoard && !nearSaddle) f.crest.add(Math.round(x / cell) * 4096 + Math.round(y / cell), ...a);
    const beside = Math.abs(y - m.at0) - 0.87 * (m.halfNut + m.halfEnd) * 0.55;
    if (x < 0.2 * m.length && beside > 4 * u && beside < 22 * u) (y < 0 ? f.crestBass : f.crestTreble).add(Math.round(y / u), ...a);
  }
  if (Math.abs(nz) > 0.35) return;
  const side = y < 0 ? 0 : 1;
  f.outline.add(Math.round(x / (3 * u)) * 2 + side, ...a);
  if (x < 0.06 * m.length && Math.abs(y) < 45 * u) f.jointOutline.add(Math.round(y / (1.5 * u)), ...a);
  if (x > 0.93 * m.length && Math.abs(y) < 45 * u) f.tail.add(Math.round(y / (2 * u)), ...a);
}

function topPoint(f: Found, m: Landmarks, a: Six): void {
  const u = m.unit;
  const [x, y] = a;
  const key = Math.round(x / u) * 4096 + Math.round(y / u);
  if (Math.hypot(x - m.stop, y) < 7 * u) f.topAtStop.add(key, ...a);
  if (Math.hypot(x - m.end, y) < 7 * u) f.topAtEnd.add(key, ...a);
  if (Math.abs(y) < 4 * u && x > 0.35 * m.length && x < 0.68 * m.length) f.topMiddle.add(Math.round(x / (4 * u)), ...a);
}

function boardPoint(f: Found, m: Landmarks, a: Six): void {
  const [x, y] = a;
  const u = m.unit;
  const half = m.halfNut + ((m.halfEnd - m.halfNut) * (x - m.start)) / (m.end - m.start);
  const v = y - m.at0 - m.slope * x;
  const key = Math.round(x / (3 * u));
  const inset = (4 * m.halfEnd) / 21;
  if (Math.abs(v) < 0.1 * m.halfEnd) f.ridge.add(key, ...a);
  if (Math.abs(v + half - inset) < 0.05 * m.halfEnd) f.scoopBass.add(key, ...a);
  if (Math.abs(v - half + inset) < 0.05 * m.halfEnd) f.scoopTreble.add(key, ...a);
  const across = Math.round(y / (0.06 * m.halfEnd));
  if (Math.abs(x - m.start - 10) < 3 * u) f.sectionNut.add(across, ...a);
  if (Math.abs(x - m.end + 10) < 3 * u) f.sectionEnd.add(across, ...a);
}

function sidePoint(f: Found, m: Landmarks, a: Six, bass: boolean): void {
  const key = Math.round(a[0] / (3 * m.unit));
  (bass ? f.sideBass : f.sideTreble).add(key, ...a);
  // The arris lies where the underside is: its error is the underside's.
  if (a[0] > 8 * m.unit && a[0] < m.end - 2) (bass ? f.lowerBass : f.lowerTreble).lowest(key, a[0], a[1], a[2], 0, 0, -1);
}

function neckPoint(f: Found, m: Landmarks, a: Six): void {
  const [x, y, z, nx] = a;
  const u = m.unit;
  const yc = y - m.at0 - m.slope * x;
  if (Math.abs(yc) < 3 * u && a[5] < -0.6) {
    if (Math.abs(x - 0.85 * m.start) < 4 * u) f.backNut.add(Math.round(x / u), ...a);
    if (Math.abs(x - 0.35 * m.start) < 4 * u) f.backHeel.add(Math.round(x / u), ...a);
  }
  const s = (z - m.buttonZ) / m.heelHeight;
  if (Math.abs(y) < 4 * u && nx < -0.6 && s > 0.15 && s < 0.5) f.heel.add(Math.round((40 * z) / m.heelHeight), ...a);
  if (Math.abs(x) < 5 * u && z > -8 * u && z < 8 * u && Math.abs(a[4]) > 0.7) f.root.add(y < 0 ? 0 : 1, ...a);
}

function notchPoint(f: Found, m: Landmarks, a: Six, input: FloorInput): void {
  const s = input.secondary;
  const near = (x: number) => Math.abs(a[0] - x) < 4 * m.unit;
  if (a[1] < 0 && near(s.stopBass)) f.notchBass.add(0, ...a);
  if (a[1] > 0 && near(s.stopTreble)) f.notchTreble.add(0, ...a);
}
