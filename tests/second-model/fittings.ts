import { type Body, spline } from './body.ts';
import type { Neck } from './neck.ts';
import { type Label, type Patch, stepsFor } from './patch.ts';
import type { Random } from './random.ts';

type Point = readonly [number, number, number];

/** A tube round a path; its section lies in the directions `first` and `second`, with half axes a(t), b(t). */
function tube(
  label: Label,
  h: number,
  path: readonly Point[],
  first: (t: number) => Point,
  second: (t: number) => Point,
  a: (t: number) => number,
  b: (t: number) => number,
  power = 2,
): Patch {
  let length = 0;
  for (let i = 1; i < path.length; i++)
    length += Math.hypot(...([0, 1, 2].map((c) => path[i][c] - path[i - 1][c]) as [number, number, number]));
  const widest = Math.max(...Array.from({ length: 21 }, (_, i) => Math.max(a(i / 20), b(i / 20))));
  const rows = stepsFor(length, h);
  const columns = Math.max(8, stepsFor(2 * Math.PI * widest, h));
  const round = (s: number): number => Math.sign(s) * Math.abs(s) ** (2 / power);
  return {
    label,
    rows,
    columns,
    ring: 'columns',
    point: (i, j, p) => {
      const t = Math.max(0, Math.min(1, i / (rows - 1)));
      const x = t * (path.length - 1);
      const k = Math.min(path.length - 2, Math.floor(x));
      const f = x - k;
      const w = (2 * Math.PI * j) / columns;
      const [e1, e2] = [first(t), second(t)];
      const [ca, sb] = [a(t) * round(Math.cos(w)), b(t) * round(Math.sin(w))];
      for (let c = 0; c < 3; c++) p[c] = path[k][c] + (path[k + 1][c] - path[k][c]) * f + e1[c] * ca + e2[c] * sb;
      return true;
    },
  };
}

/** the same patch, its points carried by a map */
function carried(patch: Patch, map: (x: number, y: number, z: number, out: Float64Array) => void): Patch {
  return {
    ...patch,
    point: (i, j, p) => {
      if (!patch.point(i, j, p)) return false;
      map(p[0], p[1], p[2], p);
      return true;
    },
  };
}

const capped =
  (r: number, ends = 0.04) =>
  (t: number): number =>
    r * Math.min(1, Math.sqrt(Math.max(0, Math.min(t, 1 - t)) / ends));
const Y: Point = [0, 1, 0];
const Z: Point = [0, 0, 1];
const X: Point = [1, 0, 0];

/** Nut, pegbox and scroll, and the pegs; `turned`: how the pegs stand, if not as `random` has them. */
export function headPatches(
  neck: Neck,
  h: number,
  random: Random,
  pegs: 'with' | 'without',
  scroll: 'with' | 'without',
  turned: Random = random,
): Patch[] {
  const k = neck.dims.neck / 130;
  const out: Patch[] = [];
  const shape = random.pick(['quarter', 'flat', 'ridge'] as const);
  const lift = random.between(0.45, 1) * k;
  const deep = random.between(4.6, 6) * k;
  const half = neck.upperHalf(-neck.length, 1);
  const high = neck.surface(-neck.length, half);
  const across = stepsFor(2 * half, h);
  const side = stepsFor(high + lift, h);
  const profile: readonly (readonly [number, number])[] =
    shape === 'quarter'
      ? [
          [0, -0.2],
          [0, 0.75],
          [0.12, 1],
          [0.4, 0.9],
          [0.75, 0.2],
          [1, -1.2],
        ]
      : shape === 'flat'
        ? [
            [0, -0.2],
            [0, 0.9],
            [0.06, 1],
            [0.8, 0.97],
            [1, 0.6],
            [1, -1.5],
          ]
        : [
            [0, -0.2],
            [0, 0.6],
            [0.25, 1],
            [0.5, 0.95],
            [0.8, 0.3],
            [1, -1],
          ];
  const rows = stepsFor(deep + 3 * lift, h);
  out.push({
    label: 'nut',
    rows,
    columns: across + 2 * side,
    point: (i, j, p) => {
      const x = (i / (rows - 1)) * (profile.length - 1);
      const q = Math.min(profile.length - 2, Math.floor(x));
      const [a, b] = [profile[q], profile[q + 1]];
      const du = (a[0] + (b[0] - a[0]) * (x - q)) * deep;
      const dw = (a[1] + (b[1] - a[1]) * (x - q)) * lift;
      const c = Math.max(0, Math.min(across - 1, j - side)) / (across - 1);
      const v = -half + 2 * half * c;
      const top = neck.surface(-neck.length, v) + dw;
      const down = j < side ? 1 - j / side : j > across + side - 1 ? (j - across - side + 1) / side : 0;
      neck.boardPoint(-neck.length - du, v, top * (1 - down), p);
      return true;
    },
  });
  const place = neck.place;
  const at = (u: number, w: number): Point => [
    neck.origin + u * Math.cos(neck.bed) - w * Math.sin(neck.bed),
    0,
    neck.dims.overstand + u * Math.sin(neck.bed) + w * Math.cos(neck.bed),
  ];
  const from = -neck.length - deep;
  const drop = random.between(0.2, 0.3);
  const boxLength = random.between(62, 70) * k;
  const thick = neck.dims.neckThickness - neck.surface(-neck.length, 0);
  const box: Point[] = [];
  for (let i = 0; i <= 12; i++) {
    const t = i / 12;
    box.push(at(from - boxLength * t, -thick * 0.42 - drop * boxLength * t * t * 0.9 - drop * 0.25 * boxLength * t));
  }
  out.push(
    carried(
      tube(
        'scroll',
        h,
        box,
        () => Y,
        () => Z,
        (t) => half * (1 - 0.42 * t),
        (t) => thick * (0.62 - 0.1 * t),
        4.5,
      ),
      place,
    ),
  );
  const eye = box[12];
  if (scroll === 'with') {
    const R = random.between(13, 15) * k;
    const turn: Point[] = [];
    const steps = 90;
    const centre: Point = [eye[0] - R * 0.55, 0, eye[2] - R * 0.12];
    const spiral = (t: number): readonly [number, number] => {
      const a = -0.35 - t * 2 * Math.PI * 1.6;
      const r = R * (1 - 0.72 * t ** 0.8);
      return [r * Math.cos(a), r * Math.sin(a)];
    };
    for (let i = 0; i <= steps; i++) {
      const [x, z] = spiral(i / steps);
      turn.push([centre[0] + x, 0, centre[2] - z]);
    }
    out.push(
      carried(
        tube(
          'scroll',
          h,
          turn,
          () => Y,
          (t) => {
            const a = 0.35 + t * 2 * Math.PI * 1.6;
            return [Math.cos(a), 0, Math.sin(a)];
          },
          (t) => (7.2 + 13 * t ** 1.5) * k * 0.85,
          (t) => R * (0.42 - 0.24 * t),
          3.4,
        ),
        place,
      ),
    );
    out.push(
      carried(
        tube(
          'scroll',
          h,
          [
            [centre[0], -21 * k, centre[2]],
            [centre[0], 21 * k, centre[2]],
          ],
          () => X,
          () => Z,
          capped(3.4 * k, 0.1),
          capped(3.4 * k, 0.1),
        ),
        place,
      ),
    );
  }
  if (pegs === 'with')
    for (let i = 0; i < 4; i++) {
      const t = [0.2, 0.42, 0.62, 0.84][i];
      const c = box[Math.round(t * 12)];
      const s = i === 0 || i === 3 ? -1 : 1;
      const angle = turned.between(0, Math.PI);
      const shaft = spline(
        [0, 0.2, 0.55, 0.6, 0.66, 0.78, 0.92, 1],
        [3, 3.3, 3.9, 4.6, 3.2, 5.5, 6.5, 1].map((r) => r * k),
      );
      const thin = spline(
        [0, 0.2, 0.55, 0.6, 0.66, 0.78, 0.92, 1],
        [3, 3.3, 3.9, 4.6, 3.2, 2.6, 2.8, 0.6].map((r) => r * k),
      );
      const ca = Math.cos(angle);
      const sa = Math.sin(angle);
      out.push(
        carried(
          tube(
            'peg',
            h,
            [
              [c[0], -s * 13 * k, c[2]],
              [c[0], s * 41 * k, c[2]],
            ],
            () => [ca, 0, sa],
            () => [-sa, 0, ca],
            shaft,
            thin,
          ),
          place,
        ),
      );
    }
  return out;
}

/** where the bridge stands and how high it is, body coordinates */
export interface BridgeStand {
  /** mid-thickness of the feet */
  readonly x: number;
  readonly y: number;
  /** crown's z at a y from the bridge's middle */
  crown(v: number): number;
  readonly height: number;
  /** radians, tail-side face towards the tail */
  readonly lean: number;
  readonly foot: number;
}

export function standBridge(body: Body, neck: Neck, random: Random): BridgeStand {
  const k = body.scale;
  const p = new Float64Array(3);
  const q = new Float64Array(3);
  neck.boardPoint(0, 0, neck.surface(0, 0), p);
  neck.boardPoint(neck.end - 2, 0, neck.surface(neck.end - 2, 0), q);
  const slope = (q[2] - p[2]) / (q[0] - p[0]);
  const x = (body.notches[0][0] + body.notches[1][0]) / 2 + random.normal() * 0.5 * k;
  const side = (q[1] - p[1]) / (q[0] - p[0]);
  const y = (p[1] + side * (x - p[0])) * 0.7;
  const R = neck.dims.radius * 1.0;
  const clear = neck.dims.projection * 0.215;
  const z = p[2] + slope * (x - p[0]) + clear;
  return {
    x,
    y,
    height: z - body.top(x, y, 50 * k),
    lean: random.between(-0.035, 0.05),
    foot: 4.3 * k,
    crown: (v) => z + Math.sqrt(R * R - v * v) - R - 0.028 * v,
  };
}

/** one string: from the nut over the bridge to the tailpiece */
export interface StringLine {
  readonly radius: number;
  readonly start: Point;
  readonly top: Point;
  readonly far: Point;
}

/** bass to treble */
export function stretchStrings(body: Body, neck: Neck, bridge: BridgeStand, head: Point): StringLine[] {
  const k = body.scale;
  const p = new Float64Array(3);
  return [0.42, 0.4, 0.36, 0.2].map((thick, i) => {
    const radius = thick * k;
    const place = -1 + (2 * i) / 3;
    const v0 = place * neck.upperHalf(-neck.length, 1) * 0.68;
    const v1 = place * 16.8 * k;
    neck.boardPoint(-neck.length - 1.2 * k, v0, neck.surface(-neck.length, v0) + 0.9 * k + radius, p);
    return {
      radius,
      start: [p[0], p[1], p[2]],
      top: [bridge.x, bridge.y + v1, bridge.crown(v1) + radius * 0.4],
      far: [head[0], head[1] + place * 12 * k, head[2] + 1.5 * k],
    };
  });
}

export function stringPatches(strings: readonly StringLine[], h: number): Patch[] {
  return strings.flatMap((s) => {
    const fine = Math.min(h, 0.9 * s.radius);
    return (
      [
        [s.start, s.top],
        [s.top, s.far],
      ] as const
    ).map((path) =>
      tube(
        'string',
        fine,
        path,
        () => Y,
        () => Z,
        () => s.radius,
        () => s.radius,
      ),
    );
  });
}

export function bridgePatches(body: Body, bridge: BridgeStand, h: number): Patch[] {
  const k = body.scale;
  const H = bridge.height;
  const outline = spline(
    [0, 0.06, 0.12, 0.3, 0.46, 0.6, 0.75, 1],
    [20.5, 20.3, 17.5, 15, 19.5, 21.2, 19.2, 18.4].map((w) => w * k),
  );
  const thick = (t: number): number => bridge.foot * (1 - t) ** 1.15 + 1.3 * k;
  const rows = stepsFor(H, h);
  const columns = stepsFor(42 * k, h);
  const gone = (v: number, t: number): boolean =>
    (t < 0.17 && Math.abs(v) < 11 * k) ||
    Math.hypot(v, (t - 0.52) * H) < 2.6 * k ||
    Math.hypot(Math.abs(v) - 11.5 * k, (t - 0.4) * H) < 3.2 * k;
  const z = (v: number, t: number): number => {
    const foot = body.top(bridge.x, bridge.y + v, 40 * k);
    return foot + (bridge.crown(v) - foot) * t;
  };
  const tailX = (zz: number): number => bridge.x + bridge.foot / 2 + 0.65 * k + (zz - (bridge.crown(0) - H)) * Math.tan(bridge.lean);
  const face = (tailSide: boolean): Patch => ({
    label: 'bridge',
    rows,
    columns,
    point: (i, j, p) => {
      const t = i / (rows - 1);
      const w = outline(t);
      const v = -w + (2 * w * j) / (columns - 1);
      if (gone(v, t)) return false;
      p[1] = bridge.y + v;
      p[2] = z(v, t);
      p[0] = tailX(p[2]) - (tailSide ? 0 : thick(t));
      return true;
    },
  });
  const rim = (side: number): Patch => ({
    label: 'bridge',
    rows,
    columns: stepsFor(bridge.foot, h),
    point: (i, j, p) => {
      const t = i / (rows - 1);
      const v = side * outline(t);
      p[1] = bridge.y + v;
      p[2] = z(v, t);
      p[0] = tailX(p[2]) - (thick(t) * j) / (stepsFor(bridge.foot, h) - 1);
      return true;
    },
  });
  const crown: Patch = {
    label: 'bridge',
    rows: stepsFor(1.4 * k, h),
    columns,
    point: (i, j, p) => {
      const w = outline(1);
      const v = -w + (2 * w * j) / (columns - 1);
      p[1] = bridge.y + v;
      p[2] = z(v, 1);
      p[0] = tailX(p[2]) - (thick(1) * i) / (stepsFor(1.4 * k, h) - 1);
      return true;
    },
  };
  return [face(true), face(false), rim(1), rim(-1), crown];
}

const SADDLE_HALF = 17.5;
/** does the saddle cover this plan point? */
export function saddleHolds(body: Body, x: number, y: number, margin: number): boolean {
  return Math.abs(y) < SADDLE_HALF * body.scale + margin && x > body.dims.body - 6.2 * body.scale - margin;
}

export function saddlePatches(body: Body, h: number): Patch[] {
  const k = body.scale;
  const path: Point[] = [];
  for (let i = 0; i <= 20; i++) {
    const y = (-1 + i / 10) * SADDLE_HALF * k;
    let x = body.dims.body - 6 * k;
    while (body.distance(x, y) > 0.05 && x < body.dims.body + k) x += 0.05 * k;
    path.push([x - 2.9 * k, y, (3.4 * k - body.edge) / 2]);
  }
  const round =
    (r: number) =>
    (t: number): number =>
      r * Math.min(1, (Math.min(t, 1 - t) * 30 + 0.02) ** 0.3);
  return [
    tube(
      'saddle',
      h,
      path,
      () => X,
      () => Z,
      round(3.3 * k),
      round((3.4 * k + body.edge) / 2),
      3.5,
    ),
  ];
}

/** tailpiece with its gut, and the button it hangs on; `head` is where the strings enter it */
export function tailpiecePatches(
  body: Body,
  bridge: BridgeStand,
  h: number,
  random: Random,
): { readonly patches: Patch[]; readonly head: Point } {
  const k = body.scale;
  const L = body.dims.body;
  const tail: Point = [L - 9 * k, 0, 8 * k];
  const long = Math.min(L * 0.3, L - 9 * k - bridge.x - 52 * k);
  const rise = (bridge.crown(0) - tail[2]) / (L - bridge.x - 9 * k);
  const head: Point = [tail[0] - long, random.normal() * 0.6 * k, tail[2] + rise * long * 0.92];
  const tilt: Point = [-rise * 0.9, 0, 1];
  const width = (t: number): number => (21.5 - 10.5 * t ** 0.8) * k * Math.min(1, Math.sqrt((Math.min(t, 1 - t) + 0.002) / 0.03));
  const crown = random.between(3.2, 4.6) * k;
  const patches = [
    tube(
      'tailpiece',
      h,
      [head, tail],
      () => Y,
      () => tilt,
      width,
      () => crown,
      2.6,
    ),
  ];
  for (const s of [-1, 1])
    patches.push(
      tube(
        'tailpiece',
        h,
        [
          [tail[0] - 3 * k, s * 4.5 * k, tail[2] - 1.5 * k],
          [L - 1.2 * k, s * 3.6 * k, 4.6 * k],
          [L + 1.2 * k, s * 3.4 * k, 2.6 * k],
          [L + 4 * k, s * 2.6 * k, -body.edge - body.dims.rib * 0.42],
        ],
        () => Y,
        () => X,
        () => 0.9 * k,
        () => 0.9 * k,
      ),
    );
  return { patches, head };
}

export function endPinPatches(body: Body, h: number): Patch[] {
  const k = body.scale;
  const L = body.dims.body;
  const z = -body.edge - body.dims.rib * 0.48;
  const r = spline(
    [0, 0.3, 0.45, 0.7, 0.95, 1],
    [4.5, 4.6, 3.4, 6.2, 5.2, 0.3].map((v) => v * k),
  );
  return [
    tube(
      'endPin',
      h,
      [
        [L - 4 * k, 0, z],
        [L + 13 * k, 0, z],
      ],
      () => Y,
      () => Z,
      r,
      r,
    ),
  ];
}

export function chinRestPatches(body: Body, h: number, random: Random): Patch[] {
  const k = body.scale;
  const L = body.dims.body;
  const over = random.chance(0.35);
  const at: Point = over ? [L - 26 * k, -16 * k, 25 * k] : [L - 36 * k, -62 * k, 22 * k];
  const [a, b] = over ? [27 * k, 58 * k] : [34 * k, 44 * k];
  const turn = over ? 0.06 : -0.5;
  const dish = random.between(3, 8) * k;
  const rows = stepsFor(2 * a, h);
  const columns = stepsFor(2 * b, h);
  const n = random.between(2, 3);
  const sheet = (under: boolean): Patch => ({
    label: 'chinRest',
    rows,
    columns,
    point: (i, j, p) => {
      const u = -1 + (2 * i) / (rows - 1);
      const v = -1 + (2 * j) / (columns - 1);
      const r = Math.abs(u) ** n + Math.abs(v) ** n;
      if (r > 1) return false;
      const lx = u * a;
      const ly = v * b;
      p[0] = at[0] + lx * Math.cos(turn) - ly * Math.sin(turn);
      p[1] = at[1] + lx * Math.sin(turn) + ly * Math.cos(turn);
      const rim = Math.sqrt(1 - r);
      p[2] = at[2] + 0.08 * lx + (under ? -4.5 * k * rim : -dish * (1 - r) * 0.9 + 2 * k * rim ** 0.5);
      return true;
    },
  });
  const out = [sheet(false), sheet(true)];
  const feet = over
    ? [
        [L - 4, -30 * k],
        [L - 4, 28 * k],
      ]
    : [
        [L - 10 * k, -46 * k],
        [L - 24 * k, -70 * k],
      ];
  for (const [x, y] of feet) {
    let px = x + 14 * k;
    let py = y;
    while (body.distance(px, py) < -3 * k) {
      px -= 0.5 * k;
      py *= 0.998;
    }
    out.push(
      tube(
        'chinRest',
        h,
        [
          [px, py, 20 * k],
          [px, py, -body.edge * 2 - body.dims.rib - 1],
        ],
        () => X,
        () => Y,
        () => 2 * k,
        () => 2 * k,
      ),
    );
    out.push(
      tube(
        'chinRest',
        h,
        [
          [px + 2 * k, py, body.backCrest(L) - 2 * k],
          [px - 14 * k, py * 0.9, body.backCrest(L) - 2 * k],
        ],
        () => Y,
        () => Z,
        capped(7 * k),
        capped(1.6 * k),
      ),
    );
  }
  return out;
}

export function shoulderRestPatches(body: Body, h: number): Patch[] {
  const k = body.scale;
  const x = body.dims.body * 0.79;
  const z = body.backCrest(x) - 30 * k;
  const w = body.dims.lower / 2;
  const path: Point[] = [];
  for (let i = 0; i <= 16; i++) {
    const t = -1 + i / 8;
    path.push([x + 10 * k * t, t * w * 0.98, z + 9 * k * Math.cos(3 * t) - 3 * k * t]);
  }
  const out = [
    tube(
      'shoulderRest',
      h,
      path,
      () => X,
      () => Z,
      capped(14 * k),
      capped(4 * k),
      3,
    ),
  ];
  for (const s of [-1, 1])
    for (const d of [-9, 9])
      out.push(
        tube(
          'shoulderRest',
          h,
          [
            [x + 10 * k * s + d * k, s * (w - 1 * k), z],
            [x + 10 * k * s + d * k, s * (w + 2.5 * k), z + 34 * k],
          ],
          () => X,
          () => Y,
          capped(3 * k),
          capped(3 * k),
        ),
      );
  return out;
}

export type Clutter = 'table' | 'cradle' | 'object';

export function clutterPatches(body: Body, what: Clutter, h: number, random: Random): Patch[] {
  const k = body.scale;
  const L = body.dims.body;
  const low = body.backCrest(L / 2) - body.dims.backArch - 1.5 * k;
  if (what === 'table') {
    const step = 3 * h;
    const [w, l] = [body.dims.lower * 1.5, L * 2];
    const rows = stepsFor(l, step);
    const columns = stepsFor(w, step);
    const tilt = [0.01 * random.normal(), 0.01 * random.normal()];
    return [
      {
        label: 'clutter',
        rows,
        columns,
        point: (i, j, p) => {
          p[0] = -0.6 * L + i * step;
          p[1] = -w / 2 + j * step;
          p[2] = low - 3 * k + tilt[0] * (p[0] - L / 2) + tilt[1] * p[1];
          return true;
        },
      },
    ];
  }
  if (what === 'cradle')
    return [0.24, 0.8].map((f) =>
      tube(
        'clutter',
        2 * h,
        [
          [f * L, -0.36 * L, low - 10 * k],
          [f * L, 0.36 * L, low - 10 * k],
        ],
        () => X,
        () => Z,
        capped(16 * k, 0.02),
        capped(13 * k, 0.02),
        6,
      ),
    );
  const y = 0.62 * L;
  const r = random.between(0.06, 0.12) * L;
  return [
    tube(
      'clutter',
      2 * h,
      [
        [0.4 * L, y, low],
        [0.4 * L, y, low + 0.3 * L],
      ],
      () => X,
      () => Y,
      capped(r, 0.02),
      capped(r * 0.9, 0.02),
      random.pick([2, 5]),
    ),
  ];
}
