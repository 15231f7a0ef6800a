import { ArcChain, type ChainNode } from './arc-chain.ts';
import { BODY_UNIT, type Dimensions, type InstrumentClass } from './dimensions.ts';
import type { Random } from './random.ts';

/**
 * The body in its own coordinates, mm: x from the neck end of the outline to the tail, y to the treble side, z out of the top,
 * z = 0 about at the edge. Top and back are height fields over the plan; the edge is a function of the distance to the outline.
 */
export interface Body {
  readonly dims: Dimensions;
  readonly scale: number;
  readonly outline: ArcChain;
  /** thickness of the top's and back's edge */
  readonly edge: number;
  readonly overhang: number;
  distance(x: number, y: number): number;
  /** low, smooth distortion of the edge from a plane */
  warp(x: number, y: number): number;
  warpBack(x: number, y: number): number;
  crestInset(x: number, y: number): number;
  /** outer surface of the top, at distance d inside the outline */
  top(x: number, y: number, d: number): number;
  /** outer surface of the back, likewise */
  back(x: number, y: number, d: number): number;
  /** underside of the top's overhang, upper side of the back's */
  underTop(x: number, y: number): number;
  overBack(x: number, y: number): number;
  /** plane of the back's outer edge (its crest) on the centreline */
  backCrest(x: number): number;
  /** lower half of the edge's section: height above the underside, at distance d */
  under(d: number): number;
  /** how far the rib stands inside the outline, t = 0 at the back, 1 at the top */
  ribInset(x: number, y: number, t: number): number;
  /** signed value, negative in an f-hole */
  fHole(x: number, y: number): number;
  /** where a point of the undistorted body lies now, and back; all other members speak of the undistorted body */
  moved(x: number, y: number, z: number, out: Float64Array): void;
  unmoved(x: number, y: number, z: number, out: Float64Array): void;
  readonly notches: readonly [readonly [number, number], readonly [number, number]];
  /** plan boxes of the f-holes */
  readonly fBoxes: readonly (readonly [number, number, number, number])[];
}

const RAD = Math.PI / 180;
export const smooth = (t: number): number => {
  const u = Math.max(0, Math.min(1, t));
  return u * u * u * (u * (6 * u - 15) + 10);
};

/** x ÷ length, y ÷ half width (0 upper, 1 waist, 2 lower bout), direction °, spread of the three */
type Row = readonly [x: number, y: number, bout: 0 | 1 | 2, direction: number];
const VIOLIN_SIDE: readonly Row[] = [
  [0.056, 0.7, 0, 49],
  [0.205, 1, 0, 0],
  [0.31, 0.897, 0, -16],
  [0.352, 0.938, 0, 42],
  [0.37, 0.905, 0, -77],
  [0.391, 0.752, 0, -48],
  [0.456, 1, 1, 0],
  [0.563, 0.643, 2, 40],
  [0.592, 0.85, 2, 84],
  [0.6125, 0.88, 2, -46],
  [0.655, 0.843, 2, 20],
  [0.712, 0.937, 2, 28],
  [0.8, 1, 2, 0],
  [0.945, 0.68, 2, -57],
];
const UPPER_TIP = 3;
const LOWER_TIP = 8;

function drawOutline(dims: Dimensions, kind: InstrumentClass, random: Random, unevenness: number): ArcChain {
  const half = [dims.upper / 2, dims.waist / 2, dims.lower / 2];
  const style = VIOLIN_SIDE.map((r, i) => {
    const corner = (i >= 2 && i <= 5) || (i >= 7 && i <= 10);
    let [x, y, bout, dir] = r;
    if (kind === 'bass' && i === 0) [x, y, dir] = [0.098, 0.56, 52];
    if (kind === 'bass' && i === 1) x = 0.24;
    return [
      x + (corner ? 0 : 0.004) * random.normal() * 0.5,
      y * (1 + (i === 1 || i === 6 || i === 12 ? 0 : 0.004 * random.normal())),
      bout,
      dir + (dir === 0 ? 0 : 1.2 * random.normal()),
    ] as const;
  });
  const cornerShift = [0.004 * random.normal(), 0.004 * random.normal()];
  const side = (sign: 1 | -1): ChainNode[] => {
    const width = half.map((h) => h * (1 + 0.006 * unevenness * random.normal()));
    const shift = [0, 1, 2].map(() => 0.004 * unevenness * random.normal());
    const worn = [random.next(), random.next()];
    const nodes = style.map(([x, y, bout, dir], i): ChainNode => {
      const upper = i >= 3 && i <= 5;
      const lower = i >= 7 && i <= 9;
      const moved = x + shift[bout] + (upper ? cornerShift[0] : lower ? cornerShift[1] : 0);
      return { x: moved * dims.body, y: y * width[bout], arrive: dir * RAD, leave: dir * RAD };
    });
    // a corner's end: two crisp edges, or rounded by wear
    [UPPER_TIP, LOWER_TIP].forEach((at, c) => {
      const a = nodes[at];
      const b = nodes[at + 1];
      if (worn[c] < 0.35) return;
      const across = Math.atan2(b.y - a.y, b.x - a.x);
      nodes[at] = { ...a, leave: across };
      nodes[at + 1] = { ...b, arrive: across };
    });
    return nodes.map((n) => ({ x: n.x, y: sign * n.y, arrive: sign * n.arrive, leave: sign * n.leave }));
  };
  const treble = side(1);
  const bass = side(-1)
    .reverse()
    .map((n) => ({ x: n.x, y: n.y, arrive: n.leave + Math.PI, leave: n.arrive + Math.PI }));
  return new ArcChain([
    { x: 0, y: 0, arrive: Math.PI / 2, leave: Math.PI / 2 },
    ...treble,
    { x: dims.body, y: 0, arrive: -Math.PI / 2, leave: -Math.PI / 2 },
    ...bass,
  ]);
}

function stay(x: number, y: number, z: number, out: Float64Array): void {
  out[0] = x;
  out[1] = y;
  out[2] = z;
}

/** curtate cycloid: height 0…1 against distance from the edge 0…1 */
function cycloid(lambda: number): (t: number) => number {
  return (t) => {
    if (t <= 0) return 0;
    if (t >= 1) return 1;
    const target = Math.PI * t;
    let a = target;
    for (let i = 0; i < 12; i++) {
      const step = (a - lambda * Math.sin(a) - target) / (1 - lambda * Math.cos(a));
      a -= step;
      if (Math.abs(step) < 1e-12) break;
    }
    return (1 - Math.cos(a)) / 2;
  };
}

/** a table with cubic interpolation: fast, smooth */
function tabulate(f: (t: number) => number, n = 600): (t: number) => number {
  const table = Float64Array.from({ length: n + 3 }, (_, i) => f((i - 1) / n));
  table[0] = table[2];
  return (t) => {
    const u = Math.max(0, Math.min(0.9999999, t)) * n;
    const i = Math.floor(u);
    const w = u - i;
    const [a, b, c, d] = [table[i], table[i + 1], table[i + 2], table[Math.min(i + 3, n + 2)]];
    return b + 0.5 * w * (c - a + w * (2 * a - 5 * b + 4 * c - d + w * (3 * (b - c) + d - a)));
  };
}

/** smooth curve through knots, monotone knots in x; natural ends */
export function spline(xs: readonly number[], ys: readonly number[]): (x: number) => number {
  const n = xs.length;
  const m = new Float64Array(n);
  const u = new Float64Array(n);
  for (let i = 1; i < n - 1; i++) {
    const sig = (xs[i] - xs[i - 1]) / (xs[i + 1] - xs[i - 1]);
    const p = sig * m[i - 1] + 2;
    m[i] = (sig - 1) / p;
    const slope = (ys[i + 1] - ys[i]) / (xs[i + 1] - xs[i]) - (ys[i] - ys[i - 1]) / (xs[i] - xs[i - 1]);
    u[i] = ((6 * slope) / (xs[i + 1] - xs[i - 1]) - sig * u[i - 1]) / p;
  }
  for (let i = n - 2; i >= 0; i--) m[i] = m[i] * m[i + 1] + u[i];
  return (x) => {
    let k = 0;
    while (k < n - 2 && xs[k + 1] < x) k++;
    const h = xs[k + 1] - xs[k];
    const a = (xs[k + 1] - x) / h;
    const b = (x - xs[k]) / h;
    return a * ys[k] + b * ys[k + 1] + (((a * a * a - a) * m[k] + (b * b * b - b) * m[k + 1]) * h * h) / 6;
  };
}

interface FHole {
  value(x: number, y: number): number;
  readonly notch: readonly [number, number];
  readonly box: readonly [number, number, number, number];
}

/** One f-hole: two eyes, a stem of varying width, notches cut into both sides. `sign` +1 on the treble side. */
function drawFHole(body: number, sign: 1 | -1, notch: readonly [number, number], random: Random): FHole {
  const k = body / BODY_UNIT;
  // stem's middle line relative to the inner notch, violin mm, y outwards
  const path = [
    [-32, -12.5],
    [-36, -8.5],
    [-35.5, -3],
    [-28, 1.4],
    [-14, 3.6],
    [0, 5.6],
    [14, 8],
    [26, 11.2],
    [32, 15.4],
    [32, 21],
    [28.5, 24.5],
  ].map(([x, y]) => [x * k, y * k]);
  const half = [1.2, 1.4, 2, 2.7, 3.1, 3.2, 3.1, 2.7, 2, 1.4, 1.3].map((h) => h * k);
  const turn = random.between(-0.03, 0.03);
  const rise = random.between(2, 2.8) * k;
  const wide = random.between(0.9, 1.5) * k;
  const at = spline(
    path.map((_, i) => i),
    path.map((p) => p[0]),
  );
  const up = spline(
    path.map((_, i) => i),
    path.map((p) => p[1]),
  );
  const wd = spline(
    path.map((_, i) => i),
    half,
  );
  const dense: number[] = [];
  for (let i = 0; i <= 80; i++) {
    const t = (i / 80) * (path.length - 1);
    dense.push(at(t), up(t), wd(t));
  }
  const eyes = [
    [-30.5 * k, -13.5 * k, 3.2 * k],
    [26.5 * k, 24.5 * k, 4.5 * k],
  ];
  const value = (x: number, y: number): number => {
    const dx = x - notch[0];
    const dy = sign * (y - notch[1]);
    const lx = dx * Math.cos(turn) + dy * Math.sin(turn);
    const ly = -dx * Math.sin(turn) + dy * Math.cos(turn);
    let best = Number.POSITIVE_INFINITY;
    for (const [ex, ey, r] of eyes) best = Math.min(best, Math.hypot(lx - ex, ly - ey) - r);
    for (let i = 0; i < 80; i++) {
      const o = i * 3;
      const vx = dense[o + 3] - dense[o];
      const vy = dense[o + 4] - dense[o + 1];
      const t = Math.max(0, Math.min(1, ((lx - dense[o]) * vx + (ly - dense[o + 1]) * vy) / (vx * vx + vy * vy)));
      best = Math.min(best, Math.hypot(lx - dense[o] - t * vx, ly - dense[o + 1] - t * vy) - (dense[o + 2] * (1 - t) + dense[o + 5] * t));
    }
    // the notches: wedges whose flanks meet at the notch point
    const wedge = (tipX: number, tipY: number, dir: 1 | -1): number => {
      const depth = (ly - tipY) * dir;
      if (depth > rise + 2 * k) return Number.POSITIVE_INFINITY;
      return (Math.abs(lx - tipX) - (depth * wide) / rise) * 0.85;
    };
    best = Math.min(best, wedge(0, 0, 1));
    best = Math.min(best, wedge(0.8 * k, 11 * k, -1));
    return best;
  };
  const [a, b] = [notch[1] - 28 * k, notch[1] + 36 * k];
  // far from the rim the value at the middle of a cell will do
  const cell = 2 * k;
  const far = 4 * k;
  const known = new Map<number, number>();
  const quick = (x: number, y: number): number => {
    const i = Math.floor((x - notch[0]) / cell);
    const j = Math.floor((y - notch[1]) / cell);
    const key = (i + 500) * 1000 + j + 500;
    let c = known.get(key);
    if (c === undefined) {
      c = value(notch[0] + (i + 0.5) * cell, notch[1] + (j + 0.5) * cell);
      known.set(key, c);
    }
    if (c > far) return c - 1.9 * k;
    if (c < -far) return c + 1.9 * k;
    return value(x, y);
  };
  return {
    value: quick,
    notch,
    box: [notch[0] - 42 * k, sign > 0 ? a : 2 * notch[1] - b, notch[0] + 42 * k, sign > 0 ? b : 2 * notch[1] - a],
  };
}

export interface BodyTraits {
  /** 1 usual, 3 very uneven bouts */
  readonly unevenness: number;
  /** amplitude of the edge's warp, mm on a violin */
  readonly warp: number;
  /** mm, positive swollen, negative sunken, near one foot of the bridge */
  readonly bump: number;
}

export function drawBody(dims: Dimensions, kind: InstrumentClass, traits: BodyTraits, random: Random): Body {
  const L = dims.body;
  const k = L / BODY_UNIT;
  const outline = drawOutline(dims, kind, random.fork(), traits.unevenness);
  const t = dims.edge;
  const crest = {
    mean: random.between(1.35, 1.75) * (t / 4),
    part: random.between(0.1, 0.3),
    px: random.between(0, 6),
    py: random.between(0, 6),
  };
  const power = random.between(1.9, 2.5);
  const channel = random.between(0.55, 1.0) * (t / 4);
  const width = random.between(4.2, 5.6) * k ** 0.7;
  const w = Array.from({ length: 8 }, () => random.normal());
  const amp = traits.warp * k;
  const warpOf = (o: number) => (x: number, y: number) => {
    const u = x / L - 0.5;
    const v = (2 * y) / dims.lower;
    return (
      amp *
      (0.5 * w[o] * u * v * 2 +
        0.35 * w[o + 1] * Math.cos(4.1 * u + 1) +
        0.3 * w[o + 2] * v * v * Math.cos(5 * u) +
        0.12 * w[o + 3] * Math.sin(17 * u + 3 * v))
    );
  };
  const warp = warpOf(0);
  const warpBack = warpOf(4);
  const crestInset = (x: number, y: number): number =>
    crest.mean * (1 + crest.part * Math.sin((5 * x) / L + crest.px) * Math.cos((3 * y) / dims.lower + crest.py));
  const edgeTop = (d: number, c: number): number => {
    if (d <= 0) return -t / 2;
    if (d < c) return (-t / 2) * (1 - (1 - ((c - d) / c) ** power) ** (1 / power));
    return (-channel * (1 - Math.cos(Math.PI * Math.min(1, (d - c) / width)))) / 2;
  };
  const cyc = tabulate(cycloid(random.between(0.25, 0.6)));
  const cycBack = tabulate(cycloid(random.between(0.2, 0.5)));
  const long = tabulate(cycloid(random.between(0.55, 0.78)));
  const hw = [dims.upper / 2, dims.waist / 2, dims.lower / 2].map((v) => v - 7 * k);
  const ring = spline(
    [0, 0.05, 0.12, 0.2, 0.3, 0.38, 0.46, 0.55, 0.64, 0.72, 0.8, 0.9, 0.96, 1],
    [
      0.3 * hw[0],
      0.62 * hw[0],
      0.9 * hw[0],
      hw[0],
      0.93 * hw[0],
      0.5 * (hw[0] * 0.83 + hw[1] * 1.1),
      hw[1],
      1.06 * hw[1],
      0.5 * (hw[1] * 1.2 + hw[2] * 0.84),
      0.93 * hw[2],
      hw[2],
      0.83 * hw[2],
      0.6 * hw[2],
      0.35 * hw[2],
    ],
  );
  const lean = random.between(-0.02, 0.02) * traits.unevenness;
  const rise = (x: number, y: number, d: number, across: (t: number) => number, height: number, c: number): number => {
    const start = c + 0.62 * width;
    if (d <= start) return 0;
    const xi = x / L;
    const half = ring(Math.max(0, Math.min(1, xi)));
    const e = Math.abs(y - lean * half) / half;
    // steeper to the ends than in the middle, flat over the waist
    const lengthwise = long(Math.min(1, (1 - Math.abs(2 * xi - 1.02) / 1.02 - 0.02) * 1.32));
    return height * lengthwise * across(1 - e) * smooth((d - start) / (13 * k));
  };
  const bumpAt = [dims.stop + 8 * k, (random.chance(0.5) ? 1 : -1) * 18 * k];
  const top = (x: number, y: number, d: number): number => {
    const c = crestInset(x, y);
    const bump =
      traits.bump * k * Math.exp(-(((x - bumpAt[0]) / (42 * k)) ** 2) - ((y - bumpAt[1]) / (26 * k)) ** 2) * smooth((d - 9 * k) / (14 * k));
    return warp(x, y) + edgeTop(d, c) + rise(x, y, d, cyc, dims.arch + channel, c) + bump;
  };
  const ribAt = (x: number): number => dims.rib * (0.962 + 0.038 * Math.min(1, Math.max(0, x / L)));
  const backBase = (x: number): number => -(2 * t + ribAt(x));
  const back = (x: number, y: number, d: number): number => {
    const c = crestInset(x, -y);
    return backBase(x) + warpBack(x, y) - edgeTop(d, c) - rise(x, y, d, cycBack, dims.backArch + channel, c);
  };
  const overhang = dims.overhang;
  const leanRib = random.between(-0.5, 0.5) * k;
  const bulge = random.between(-0.2, 0.9) * k ** 0.8 * Math.min(2, traits.unevenness);
  const ph = random.between(0, 6);
  const ribInset = (x: number, y: number, h: number): number =>
    overhang * (1 + 0.12 * Math.sin((7 * x) / L + ph)) +
    leanRib * (h - 0.5) * Math.sign(y) * Math.min(1, Math.abs(y) / (20 * k)) -
    bulge * Math.sin(Math.PI * h) * (0.5 + 0.5 * Math.sin((9 * x) / L + ph));
  const notchX = dims.stop + random.between(0.2, 1.6) * k;
  const notchY = (kind === 'bass' ? 0.17 : kind === 'cello' ? 0.185 : 0.19) * dims.lower;
  const f1 = drawFHole(L, 1, [notchX + 0.6 * k * random.normal(), notchY + 0.5 * k * random.normal()], random.fork());
  const f2 = drawFHole(L, -1, [notchX + 0.6 * k * random.normal(), -notchY + 0.5 * k * random.normal()], random.fork());
  const inBox = (b: readonly [number, number, number, number], x: number, y: number): boolean =>
    x > b[0] && x < b[2] && y > b[1] && y < b[3];
  return {
    dims,
    scale: k,
    outline,
    edge: t,
    overhang,
    warp,
    warpBack,
    crestInset,
    top,
    back,
    ribInset,
    distance: (x, y) => outline.distance(x, y),
    underTop: (x, y) => warp(x, y) - t,
    overBack: (x, y) => backBase(x) + warpBack(x, y) + t,
    backCrest: backBase,
    under: (d) => {
      const c = 1.3 * (t / 4);
      return d >= c ? 0 : (t / 2) * (1 - (1 - ((c - Math.max(0, d)) / c) ** 2) ** 0.5);
    },
    fHole: (x, y) => (inBox(f1.box, x, y) ? f1.value(x, y) : inBox(f2.box, x, y) ? f2.value(x, y) : 10 * k),
    moved: stay,
    unmoved: stay,
    notches: [f2.notch, f1.notch],
    fBoxes: [f1.box, f2.box],
  };
}
