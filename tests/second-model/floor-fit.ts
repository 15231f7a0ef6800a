import type { TrueFrame } from './frame.ts';
import { fitLine, fitPlane, orthogonalDirection, straightedge } from './lines.ts';
import { type Label, labelCode } from './patch.ts';
import type { Random } from './random.ts';
import type { Kernel } from './random-field.ts';
import type { Sight } from './scanner.ts';
import type { TrueValues } from './truth.ts';

/**
 * What a scan supports: plain fits to the known parts (true labels, the scan's own points) under the scan's own noise.
 * Each feature line of the truth is cut into short stretches; a stretch with enough points near it is seen, and its error in
 * a draw is that of its points' mean. The fits are then those of the definitions, over the stretches that are seen. A value
 * is supported when the 95th percentile of its error stays below the limit.
 */
const DRAWS = 100;
const WAVES = 64;
/** points near a stretch that make it seen */
const ENOUGH = 4;
/** every so many of the heel contour's points make a stretch */
const HEEL_STEP = 25;
/** in a coarse scan the points of a stretch are looked for this many spacings round it */
const REACH = 2;
/** a line, crest or arris is located less well than the mean of the points beside it */
const EDGE_PENALTY = 2;
const LIMITS: Record<string, number> = {
  boardRadiusNut: 0.1,
  boardRadiusEnd: 0.1,
  heelBow: 0.3,
  scoopBass: 0.3,
  scoopCentre: 0.3,
  scoopTreble: 0.3,
};
const ANGLES = ['neckAngle', 'boardYaw', 'boardTilt', 'boardTwist', 'heelLean'];
const DEG = 180 / Math.PI;

interface Noise {
  readonly sigma: number;
  readonly amplitude: number;
  readonly length: number;
  readonly kernel: Kernel;
  /** mm between points */
  readonly spacing: number;
}

interface Stretch {
  readonly x: number;
  readonly y: number;
  readonly z: number;
  /** white part of its error, mm */
  readonly u: number;
}

export function floorFit(
  sight: Sight,
  labels: Uint8Array,
  truth: TrueValues,
  frame: TrueFrame,
  noise: Noise,
  random: Random,
): {
  readonly measurable: Record<string, boolean>;
  readonly reasons: Record<string, string>;
  /** 95th percentile of the plain fits' error, mm or degrees, where the parts are seen */
  readonly floor: Record<string, number>;
} {
  const k = frame.bodyLength / 355;
  const cells = new Cells(sight.points, labels, Math.max(3 * k, 2 * noise.spacing), REACH * noise.spacing);
  const gather = (
    points: ArrayLike<number>,
    every: number,
    radius: number,
    of: readonly Label[],
    penalty: number,
  ): (Stretch | undefined)[] => {
    const out: (Stretch | undefined)[] = [];
    let since = Infinity;
    for (let i = 0; i < points.length; i += 3) {
      if (i > 0) since += Math.hypot(points[i] - points[i - 3], points[i + 1] - points[i - 2], points[i + 2] - points[i - 1]);
      if (since < every) continue;
      since = 0;
      const n = cells.count(points[i], points[i + 1], points[i + 2], radius, of);
      out.push(n >= ENOUGH ? { x: points[i], y: points[i + 1], z: points[i + 2], u: (penalty * noise.sigma) / Math.sqrt(n) } : undefined);
    }
    return out;
  };
  const only = (list: readonly (Stretch | undefined)[]): Stretch[] => list.filter((s) => s !== undefined);
  const f = truth.features;
  const v = truth.values;
  const inA = frame.crest.filter((_, i) => frame.inA[Math.floor(i / 3)] === 1);
  const crest = only(gather(inA, 4 * k, 1.8 * k, ['edge', 'top'], EDGE_PENALTY));
  const beside = ([-1, 1] as const).map((side) => {
    const joint = frame.joints[side < 0 ? 0 : 1];
    const near = frame.crest.filter((_, i) => {
      const o = i - (i % 3);
      const d = side * (frame.crest[o + 1] - joint[1]);
      return d >= 5 * k && d <= 20 * k && frame.crest[o] < 0.2 * frame.bodyLength;
    });
    return only(gather(near, 1.5 * k, 1.5 * k, ['edge'], EDGE_PENALTY));
  });
  // pairs of outline stretches at equal x
  const pairs: { x: number; a: Stretch; b: Stretch }[] = [];
  const rimAt = (x: number, side: 1 | -1): Stretch | undefined => {
    const y = frame.outlineY(x, side);
    const z = frame.joints[0][2];
    const n = cells.count(x, y, z, 1.8 * k, ['edge']);
    return n >= ENOUGH ? { x, y, z, u: noise.sigma / Math.sqrt(n) } : undefined;
  };
  const pair = (x: number): { x: number; a: Stretch; b: Stretch } | undefined => {
    const [a, b] = [rimAt(x, -1), rimAt(x, 1)];
    return a && b ? { x, a, b } : undefined;
  };
  for (const [from, till] of [
    [0.1, 0.3],
    [0.7, 0.9],
  ])
    for (let x = from * frame.bodyLength; x < till * frame.bodyLength; x += 4 * k) {
      const p = pair(x);
      if (p) pairs.push(p);
    }
  const ridge = only(gather(f.ridge, 4 * k, 2 * k, ['board'], 1));
  const upper = f.upper.map((c) => only(gather(c, 4 * k, 1.6 * k, ['board', 'boardSide'], EDGE_PENALTY)));
  const freeFrom = (c: Float64Array): Float64Array => c.filter((_, i) => c[i - (i % 3)] > 8 * k);
  const lower = f.lower.map((c) => only(gather(freeFrom(c), 4 * k, 1.6 * k, ['boardSide'], EDGE_PENALTY)));
  // even over the whole stretch: a stretch cut short would lean otherwise
  const heel = only(
    gather(
      f.heel.filter((_, i) => Math.floor(i / 3) % HEEL_STEP === 0),
      0,
      1.6 * k,
      ['heel', 'neck', 'button'],
      1,
    ),
  );
  const joints = frame.joints.map((j) => {
    const n = Math.min(cells.count(j[0], j[1], j[2], 5 * k, ['neck', 'heel', 'rootEnd']), cells.count(j[0], j[1], j[2], 6 * k, ['edge']));
    return n >= ENOUGH ? { x: j[0], y: j[1], z: j[2], u: (EDGE_PENALTY * noise.sigma) / Math.sqrt(n) } : undefined;
  });
  const tail = cells.count(frame.bodyLength, 0, frame.joints[0][2], 22 * k, ['edge']);
  const stop = v['stop'];
  const topNear = (x: number): Stretch | undefined => {
    const z = interpolate(truth.topCentre, x);
    for (const r of [3, 8, 16]) {
      const n = cells.count(x, 0, z, r * k, ['top']);
      if (n >= 12) return { x, y: 0, z, u: (noise.sigma * (r / 3)) / Math.sqrt(n) };
    }
    return undefined;
  };
  const [topStop, topEnd, topArch] = [topNear(stop), topNear(f.ridge[f.ridge.length - 3]), topNear(0.5 * frame.bodyLength)];
  const notches = [truth.secondary['stopBass'], truth.secondary['stopTreble']].map((x, i) => {
    const y = truth.secondary['notchOffset'] + (i === 0 ? -1 : 1) * 0.19 * 207 * k;
    const n = cells.count(x, y, interpolate(truth.topCentre, x) - 3 * k, 9 * k, ['top', 'fWall']);
    return n >= 12 ? { x, y, z: 0, u: 0.25 * 0.5 * k + noise.sigma } : undefined;
  });
  const back = f.neckBack;
  const backAt = (share: number): Stretch | undefined => {
    const x = -v['neckLength'] * (1 - share);
    for (let i = 0; i + 3 < back.length; i += 3)
      if (back[i + 3] > x) return only(gather(back.slice(i, i + 3), 1, 2 * k, ['neck', 'heel'], 1))[0];
    return undefined;
  };
  const backs = [backAt(0.15), backAt(0.65)];
  const radii = [-v['neckLength'] + 10, f.ridge[f.ridge.length - 3] - 10].map((x) => ridgeSection(cells, f, x, k, noise.sigma));
  const widths = [0.205, 0.456, 0.8].map((s) => pair(s * frame.bodyLength));

  // extent of the ridge seen at both ends
  const endsSeen = [f.ridge.slice(0, 3), f.ridge.slice(-3)].map(
    (p) => cells.count(p[0], p[1], p[2], 3 * k, ['board', 'boardSide']) >= ENOUGH,
  );
  const edge = straightedge(column(f.ridge, 0), column(f.ridge, 2));
  const contacts = contactPoints(f.ridge, edge);

  const errors: Record<string, number[]> = {};
  const missing: Record<string, string> = {};
  const trueLean = v['heelLean'];
  for (let draw = 0; draw < DRAWS; draw++) {
    const field = waves(noise, random);
    const e = (s: Stretch): number => s.u * random.normal() + field(s.x, s.y, s.z);
    const put = (id: string, value: number | undefined, reason: string): void => {
      if (value === undefined || !Number.isFinite(value)) missing[id] = reason;
      else {
        errors[id] ??= [];
        errors[id].push(Math.abs(value));
      }
    };
    const plane = crest.length >= 12 ? fitPlane(crest.flatMap((s) => [s.x, s.y, s.z + e(s)])) : undefined;
    const a = plane && { x: -plane.normal[0] / plane.normal[2], y: -plane.normal[1] / plane.normal[2], z: plane.centre[2] };
    const aZ = (x: number, y: number): number | undefined => plane && a && a.z + a.x * (x - plane.centre[0]) + a.y * (y - plane.centre[1]);
    const mids =
      pairs.length >= 8
        ? fitLine(
            pairs.map((p) => p.x),
            pairs.map((p) => (p.a.y + p.b.y + e(p.a) + e(p.b)) / 2),
          )
        : undefined;
    const joint = joints[0] && joints[1] ? (e(joints[0]) + e(joints[1])) / 2 : undefined;
    const line = ridge.length >= 10 ? errorLine(ridge, e, contacts) : undefined;
    const arrisY = upper.map((c) =>
      c.length >= 6
        ? fitLine(
            c.map((s) => s.x),
            c.map((s) => e(s)),
          )
        : undefined,
    );
    const arrisZ = upper.map((c) =>
      c.length >= 6
        ? fitLine(
            c.map((s) => s.x),
            c.map((s) => e(s)),
          )
        : undefined,
    );
    const lowZ = lower.map((c) =>
      c.length >= 6
        ? fitLine(
            c.map((s) => s.x),
            c.map((s) => e(s)),
          )
        : undefined,
    );
    const sum = (...terms: (number | undefined)[]): number | undefined =>
      terms.includes(undefined) ? undefined : (terms as number[]).reduce((s, t) => s + t, 0);
    const by = (value: number | undefined, factor: number): number | undefined => (value === undefined ? undefined : value * factor);

    put('neckAngle', sum(by(line?.slope, DEG), by(a?.x, -DEG)), 'board or edge not seen');
    const notch = notches[0] && notches[1] ? (notches[0].u * random.normal() + notches[1].u * random.normal()) / 2 : undefined;
    const station = truth.stopSource === 'given' ? by(joint, 1) : sum(notch, by(joint, -1));
    put('stop', truth.stopSource === 'given' ? 0 : station, 'notches or joint not seen');
    const slope = truth.boardLine.slope;
    put(
      'projection',
      sum(by(sum(line?.at0, by(line?.slope, stop)), 1), by(topStop && e(topStop), -1), by(station, slope)),
      'board, top at the station or station not seen',
    );
    const xEnd = f.ridge[f.ridge.length - 3];
    put(
      'boardEndHeight',
      endsSeen[1] ? sum(line?.at0, by(line?.slope, xEnd), by(topEnd && e(topEnd), -1)) : undefined,
      'board end or the top under it not seen',
    );
    const over = [0, 1].map((s) => {
      const c = beside[s];
      const b =
        c.length >= 4
          ? fitLine(
              c.map((q) => Math.abs(q.y - frame.joints[s][1])),
              c.map((q) => e(q)),
            ).at0
          : undefined;
      return sum(lowZ[s]?.at0, by(b, -1), by(by(joint, slope), 1));
    });
    put('overstandBass', over[0], 'lower arris or edge beside the neck not seen');
    put('overstandTreble', over[1], 'lower arris or edge beside the neck not seen');
    put('overstand', by(sum(over[0], over[1]), 0.5), 'lower arrises or edge beside the neck not seen');
    const apart = Math.abs(frame.joints[1][1] - frame.joints[0][1]);
    put('boardTilt', sum(by(sum(lowZ[1]?.at0, by(lowZ[0]?.at0, -1)), DEG / apart), by(a?.y, -DEG)), 'lower arrises or edge not seen');
    const yaw = by(sum(arrisY[0]?.slope, arrisY[1]?.slope), 0.5);
    put('boardYaw', sum(by(yaw, DEG), by(mids?.slope, -DEG)), 'arrises or outline not seen');
    const offset = by(sum(arrisY[0]?.at0, arrisY[1]?.at0), 0.5);
    put('boardOffset', sum(offset, by(yaw, stop), by(mids && mids.at0 + mids.slope * stop, -1)), 'arrises or outline not seen');
    put(
      'boardLength',
      endsSeen[0] && endsSeen[1] ? (random.normal() + random.normal()) * (noise.sigma + 0.1 * k) : undefined,
      'an end of the board not seen',
    );
    put('neckLength', endsSeen[0] ? sum(joint, random.normal() * (noise.sigma + 0.1 * k)) : undefined, 'nut end or joint not seen');
    for (const [id, at] of [
      ['boardWidthNut', -v['neckLength'] + 2],
      ['boardWidthEnd', xEnd - 2],
    ] as const)
      put(
        id,
        sum(arrisY[1] && arrisY[1].at0 + arrisY[1].slope * at, by(arrisY[0] && arrisY[0].at0 + arrisY[0].slope * at, -1)),
        'arrises not seen',
      );
    put(
      'boardTwist',
      sum(by(sum(arrisZ[1]?.slope, by(arrisZ[0]?.slope, -1)), (v['boardLength'] * DEG) / v['boardWidthEnd'])),
      'arrises not seen',
    );
    radii.forEach((r, i) => {
      const id = i === 0 ? 'boardRadiusNut' : 'boardRadiusEnd';
      put(id, r && sagittaError(r, e, v[id]), 'section of the board not seen');
    });
    const scoop = ridge.length >= 10 ? sagitta(ridge, e) : undefined;
    put('scoopCentre', scoop, 'board not seen');
    upper.forEach((c, i) => {
      put(i === 0 ? 'scoopBass' : 'scoopTreble', c.length >= 10 ? sagitta(c, e) : undefined, 'board not seen');
    });
    const nearRidge = (x: number): Stretch | undefined => ridge.find((s) => Math.abs(s.x - x) < 6 * k);
    backs.forEach((b, i) => {
      const r = nearRidge(-v['neckLength'] * (i === 0 ? 0.85 : 0.35));
      put(i === 0 ? 'neckThicknessNut' : 'neckThicknessHeel', b && r ? e(b) + e(r) : undefined, 'back of the neck or board not seen');
    });
    if (heel.length >= 5 && plane && a) {
      const [dx, dz] = orthogonalDirection(
        heel.map((s) => s.x + e(s)),
        heel.map((s) => s.z),
      );
      put('heelLean', Math.atan2(-dx * Math.sign(dz), Math.abs(dz)) * DEG - trueLean - a.x * DEG, '');
      put(
        'heelBow',
        sagitta(
          heel.map((s) => ({ ...s, x: s.z, z: s.x })),
          e,
        ),
        '',
      );
    } else for (const id of ['heelLean', 'heelBow']) put(id, undefined, 'heel or edge not seen');
    put(
      'bodyLength',
      tail >= ENOUGH ? sum(joint, random.normal() * noise.sigma * 0.5 + field(frame.bodyLength, 0, 0)) : undefined,
      'tail or joint not seen',
    );
    ['widthUpper', 'widthWaist', 'widthLower'].forEach((id, i) => {
      const w = widths[i];
      put(id, w ? e(w.b) + e(w.a) : undefined, 'outline not seen on both sides');
    });
    put('archHeight', sum(topArch && e(topArch), by(aZ(topArch?.x ?? 0, 0), -1)), 'top or edge not seen');
    if (plane) {
      const rest = crest.map((s) => s.z - (aZ(s.x, s.y) ?? 0) + e(s));
      put('edgeFlatnessRms', Math.sqrt(rest.reduce((t, r) => t + r * r, 0) / rest.length) - v['edgeFlatnessRms'], '');
      put('edgeFlatnessPV', Math.max(...rest) - Math.min(...rest) - v['edgeFlatnessPV'], '');
    } else for (const id of ['edgeFlatnessRms', 'edgeFlatnessPV']) put(id, undefined, 'edge not seen');
  }
  const measurable: Record<string, boolean> = {};
  const reasons: Record<string, string> = {};
  const floor: Record<string, number> = {};
  for (const id of Object.keys(v)) {
    if (id === 'stopRatio') continue;
    const list = errors[id];
    if (missing[id] !== undefined || list === undefined) {
      measurable[id] = false;
      reasons[id] = missing[id] ?? 'not seen';
      continue;
    }
    list.sort((p, q) => p - q);
    const p95 = list[Math.floor(0.95 * list.length)];
    floor[id] = p95;
    const limit = LIMITS[id] === 0.1 ? 0.1 * v[id] : (LIMITS[id] ?? (ANGLES.includes(id) ? 0.5 : 1));
    measurable[id] = p95 < limit;
    if (!measurable[id]) reasons[id] = `floor fit errs by ${p95.toFixed(2)} (95th percentile)`;
  }
  measurable['stopRatio'] = measurable['stop'] && measurable['neckLength'];
  if (!measurable['stopRatio']) reasons['stopRatio'] = 'needs stop and neck length';
  return { measurable, reasons, floor };
}

/** the points by place: cells of a lattice, each a run of one list */
class Cells {
  private readonly cell = new Map<number, number>();
  private readonly start: Int32Array;
  private readonly list: Int32Array;
  private readonly points: Float64Array;
  private readonly labels: Uint8Array;
  private readonly size: number;
  private readonly least: number;

  constructor(points: Float64Array, labels: Uint8Array, size: number, least: number) {
    this.points = points;
    this.labels = labels;
    this.size = size;
    this.least = least;
    const used = new Uint8Array(256);
    for (const l of ['edge', 'top', 'board', 'boardSide', 'neck', 'heel', 'button', 'rootEnd', 'fWall'] as const) used[labelCode(l)] = 1;
    const of = new Int32Array(labels.length).fill(-1);
    const counts: number[] = [];
    for (let i = 0; i < labels.length; i++) {
      if (!used[labels[i]]) continue;
      const key = this.key(points[i * 3], points[i * 3 + 1], points[i * 3 + 2]);
      let c = this.cell.get(key);
      if (c === undefined) {
        c = counts.length;
        this.cell.set(key, c);
        counts.push(0);
      }
      of[i] = c;
      counts[c]++;
    }
    this.start = new Int32Array(counts.length + 1);
    counts.forEach((n, c) => {
      this.start[c + 1] = this.start[c] + n;
    });
    this.list = new Int32Array(this.start[counts.length]);
    const at = this.start.slice();
    for (let i = 0; i < of.length; i++) if (of[i] >= 0) this.list[at[of[i]]++] = i;
  }

  private key(x: number, y: number, z: number): number {
    return (Math.floor(x / this.size) + 4096) * 67108864 + (Math.floor(y / this.size) + 4096) * 8192 + Math.floor(z / this.size) + 4096;
  }

  /** points of these labels within a radius, which is no smaller than `least` */
  count(x: number, y: number, z: number, asked: number, of: readonly Label[]): number {
    const radius = Math.max(asked, this.least);
    const codes = of.map(labelCode);
    const r = Math.ceil(radius / this.size);
    let n = 0;
    for (let i = -r; i <= r; i++)
      for (let j = -r; j <= r; j++)
        for (let l = -r; l <= r; l++) {
          const c = this.cell.get(this.key(x + i * this.size, y + j * this.size, z + l * this.size));
          if (c === undefined) continue;
          for (let q = this.start[c]; q < this.start[c + 1]; q++) {
            const p = this.list[q];
            const o = p * 3;
            if (
              codes.includes(this.labels[p]) &&
              (this.points[o] - x) ** 2 + (this.points[o + 1] - y) ** 2 + (this.points[o + 2] - z) ** 2 < radius * radius
            )
              n++;
          }
        }
    return n;
  }
}

function waves(noise: Noise, random: Random): (x: number, y: number, z: number) => number {
  if (!(noise.amplitude > 0)) return () => 0;
  const w = Float64Array.from({ length: WAVES * 4 }, () => random.normal());
  for (let o = 0; o < w.length; o += 4) {
    const spread = noise.kernel === 'gaussian' ? Math.SQRT2 / noise.length : 1 / (noise.length * Math.max(1e-3, Math.abs(random.normal())));
    for (let c = 0; c < 3; c++) w[o + c] *= spread;
    w[o + 3] = 2 * Math.PI * random.next();
  }
  const gain = noise.amplitude * Math.sqrt(2 / WAVES);
  return (x, y, z) => {
    let s = 0;
    for (let o = 0; o < w.length; o += 4) s += Math.cos(w[o] * x + w[o + 1] * y + w[o + 2] * z + w[o + 3]);
    return gain * s;
  };
}

function column(points: Float64Array, c: number): number[] {
  return Array.from({ length: points.length / 3 }, (_, i) => points[i * 3 + c]);
}

/** where the straightedge touches */
function contactPoints(ridge: Float64Array, edge: { at0: number; slope: number }): readonly [number, number] {
  const n = ridge.length / 3;
  const gap = (i: number): number => edge.at0 + edge.slope * ridge[i * 3] - ridge[i * 3 + 2];
  let [a, b] = [0, n - 1];
  for (let i = 0; i < n / 2; i++) if (gap(i) < gap(a)) a = i;
  for (let i = n - 1; i > n / 2; i--) if (gap(i) < gap(b)) b = i;
  return [ridge[a * 3], ridge[b * 3]];
}

/** error of the board line: a quartic through the errors along the ridge, read where the straightedge touches */
function errorLine(
  ridge: readonly Stretch[],
  e: (s: Stretch) => number,
  contacts: readonly [number, number],
): { at0: number; slope: number } {
  const at = quartic(
    ridge.map((s) => s.x),
    ridge.map((s) => e(s)),
  );
  const [za, zb] = [at(contacts[0]), at(contacts[1])];
  const slope = (zb - za) / (contacts[1] - contacts[0]);
  return { at0: za - slope * contacts[0], slope };
}

/** error of the greatest gap: quartic's middle against its ends */
function sagitta(line: readonly Stretch[], e: (s: Stretch) => number): number {
  const xs = line.map((s) => s.x);
  const at = quartic(
    xs,
    line.map((s) => e(s)),
  );
  const [a, b] = [Math.min(...xs), Math.max(...xs)];
  return at((a + b) / 2) - (at(a) + at(b)) / 2;
}

/** least-squares quartic (scaled, orthogonalised by Gram–Schmidt) */
function quartic(x: readonly number[], y: readonly number[]): (x: number) => number {
  const [lo, hi] = [Math.min(...x), Math.max(...x)];
  const t = x.map((v) => (2 * (v - lo)) / Math.max(1e-9, hi - lo) - 1);
  const degree = Math.min(4, x.length - 1);
  const m = degree + 1;
  const N = new Float64Array(m * (m + 1));
  t.forEach((v, i) => {
    const row = legendre(v, degree);
    for (let p = 0; p < m; p++) {
      for (let q = 0; q < m; q++) N[p * (m + 1) + q] += row[p] * row[q];
      N[p * (m + 1) + m] += row[p] * y[i];
    }
  });
  for (let c = 0; c < m; c++)
    for (let r = 0; r < m; r++) {
      if (r === c) continue;
      const f = N[r * (m + 1) + c] / N[c * (m + 1) + c];
      for (let q = c; q <= m; q++) N[r * (m + 1) + q] -= f * N[c * (m + 1) + q];
    }
  const coefficients = Array.from({ length: m }, (_, i) => N[i * (m + 1) + m] / N[i * (m + 1) + i]);
  return (v) => legendre((2 * (v - lo)) / Math.max(1e-9, hi - lo) - 1, degree).reduce((s, b, i) => s + b * coefficients[i], 0);
}

function legendre(t: number, degree: number): number[] {
  const p = [1, t];
  for (let n = 1; n < degree; n++) p.push(((2 * n + 1) * t * p[n] - n * p[n - 1]) / (n + 1));
  return p.slice(0, degree + 1);
}

/** stretches across the board at a station */
function ridgeSection(
  cells: Cells,
  f: { ridge: Float64Array; upper: readonly [Float64Array, Float64Array] },
  x: number,
  k: number,
  sigma: number,
): Stretch[] | undefined {
  const at = (c: Float64Array): readonly number[] => {
    for (let i = 0; i < c.length; i += 3) if (c[i] >= x) return [c[i], c[i + 1], c[i + 2]];
    return [...c.slice(-3)];
  };
  const [b, m, t] = [at(f.upper[0]), at(f.ridge), at(f.upper[1])];
  const out: Stretch[] = [];
  for (let i = 1; i < 12; i++) {
    const s = i / 6 - 1;
    const q = 1 - s * s;
    const y = (b[1] + t[1]) / 2 + ((t[1] - b[1]) / 2) * s;
    const edge = (b[2] + t[2]) / 2 + ((t[2] - b[2]) / 2) * s;
    const z = edge + (m[2] - (b[2] + t[2]) / 2) * q;
    const n = cells.count(x, y, z, 2.2 * k, ['board']);
    if (n >= ENOUGH) out.push({ x, y, z, u: sigma / Math.sqrt(n) });
  }
  return out.length >= 5 ? out : undefined;
}

/** error of a radius from the error of the section's sagitta */
function sagittaError(section: readonly Stretch[], e: (s: Stretch) => number, radius: number): number {
  const ys = section.map((s) => s.y);
  const half = (Math.max(...ys) - Math.min(...ys)) / 2;
  const mid = (Math.max(...ys) + Math.min(...ys)) / 2;
  // parabola through the errors
  const errors = section.map((s) => e(s));
  const t = section.map((s) => ((s.y - mid) / half) ** 2);
  const curvature = fitLine(t, errors).slope;
  const sag = radius - Math.sqrt(Math.max(0, radius * radius - half * half));
  return (radius * curvature) / sag;
}

function interpolate(profile: readonly (readonly [number, number])[], x: number): number {
  for (let i = 0; i + 1 < profile.length; i++)
    if (profile[i + 1][0] >= x)
      return profile[i][1] + ((profile[i + 1][1] - profile[i][1]) * (x - profile[i][0])) / (profile[i + 1][0] - profile[i][0]);
  return profile[profile.length - 1][1];
}
