import { type Body, spline } from './body.ts';
import type { Dimensions, InstrumentClass, SetKind } from './dimensions.ts';
import type { Random } from './random.ts';

/**
 * Neck, heel, board. They are drawn in a plane of their own (X like the body's x, Z like its z, v to the treble side) and then
 * set on the body by a small roll, yaw and offset. The wood of neck and heel is lofted between two lines of that plane:
 * the root line G (along the glue plane of the board, then down the rib) and the outer contour C (back of the neck, throat,
 * heel, button). Board coordinates: u along the glue line from the joint to the bridge, v, w off the glue plane.
 */
export interface Neck {
  readonly dims: Dimensions;
  /** body x of the board's u = 0 */
  readonly origin: number;
  readonly bed: number;
  /** from u = -length (nut) to u = end */
  readonly length: number;
  readonly end: number;
  place(X: number, v: number, Z: number, out: Float64Array): void;
  unplace(x: number, y: number, z: number, out: Float64Array): void;
  /** board coordinates to body coordinates, the twist of the board included */
  boardPoint(u: number, v: number, w: number, out: Float64Array): void;
  /** half width between the upper arrises, to bass and treble */
  upperHalf(u: number, side: 1 | -1): number;
  lowerHalf(u: number, side: 1 | -1): number;
  /** w of the playing surface, unrounded */
  surface(u: number, v: number): number;
  /** w of the lower arris */
  lower(u: number): number;
  readonly arrisRound: number;
  readonly arrisKind: 'rounded' | 'chamfered';
  readonly hollow: number;
  readonly endLean: number;
  readonly facet: boolean;
  readonly thinned: boolean;
  readonly flare: boolean;
  /** number of sections of the loft, and its tables */
  readonly sections: number;
  readonly gx: Float64Array;
  readonly gz: Float64Array;
  readonly cx: Float64Array;
  readonly cz: Float64Array;
  readonly half: Float64Array;
  /** arc length along the contour */
  readonly along: Float64Array;
  /** point of section t (may be fractional) at angle phi, in the neck's plane coordinates (X, v, Z) */
  loft(t: number, phi: number, out: Float64Array): void;
  /** is a body point in the wood of neck or heel, its sides moved out by `margin`? */
  holds(x: number, y: number, z: number, margin: number): boolean;
  /** x of the root's end in the body, Z of the button's outer face */
  readonly rootX: number;
  readonly buttonZ: number;
  readonly fillet: number;
}

export interface NeckTraits {
  readonly set: SetKind;
  readonly kind: InstrumentClass;
  /** degrees */
  readonly yaw: number;
  readonly roll: number;
  readonly twist: number;
  /** mm on a violin; the scoop is replaced by a hump of this height when positive */
  readonly hump: number;
  readonly flare: boolean;
  readonly thinned: boolean;
  readonly facet: boolean;
  readonly fillet: boolean;
}

const RAD = Math.PI / 180;
/** share of the heel's height at which the throat begins: above the stretch that is measured */
const THROAT_FROM = 0.525;
/** share of the free board at which thinning from below begins */
const THIN_FROM = 0.06;

export function drawNeck(body: Body, traits: NeckTraits, random: Random): Neck {
  const dims = body.dims;
  const k = body.scale;
  const early = traits.set === 'early';
  const origin = jointX(body, boardHalf(dims, dims.neck / dims.board));
  const length = dims.neck;
  const end = dims.board - length;

  // the board
  const radiusNut = dims.radius * random.between(0.88, 1.03);
  const radiusEnd = dims.radius * random.between(0.98, 1.06);
  const xi = (u: number): number => (u + length) / dims.board;
  const sideLean = Math.tan(random.between(-0.5, 2.5) * RAD);
  const flareSide = traits.flare ? (random.chance(0.6) ? 1 : -1) : 0;
  const flareBy = random.between(1.2, 3) * k;
  const flare = (u: number, side: number): number => {
    const from = 0.12 * end;
    return side === flareSide && u > from ? flareBy * ((u - from) / (end - from)) ** 1.6 : 0;
  };
  const upperHalf = (u: number, side: 1 | -1): number => boardHalf(dims, xi(u)) + flare(u, side);
  const depth = [dims.scoop * random.between(1.05, 1.5), dims.scoop, dims.scoop * random.between(0.4, 0.75)];
  const hump = traits.hump * k;
  // straight arrises with a widening arc between them make a ridge that sags by itself: a hump has to overcome that
  if (hump > 0) depth.splice(0, 3, -hump, -hump - 0.42 * k, -hump);
  const skew = random.between(0.85, 1.2);
  const ease = random.between(1.05, 1.5);
  const scoopAt = (u: number, v: number): number => {
    const t = xi(u);
    if (t <= 0 || t >= 1) return 0;
    const W = boardHalf(dims, 0.55) - (4 * dims.boardEnd) / 42;
    const q = Math.max(-1.4, Math.min(1.4, v / W));
    const d = depth[1] + ((depth[2] - depth[0]) / 2) * q + ((depth[0] + depth[2]) / 2 - depth[1]) * q * q;
    return d * Math.sin(Math.PI * t ** skew) ** ease;
  };
  const edgeNut = dims.boardEdge * random.between(0.88, 1);
  let edgeEnd = dims.boardEdge * random.between(1, 1.14);
  const camber = (u: number, v: number): number => {
    const R = radiusNut + (radiusEnd - radiusNut) * xi(u);
    const h = boardHalf(dims, xi(u));
    return Math.sqrt(R * R - v * v) - Math.sqrt(R * R - h * h);
  };
  // the bed's angle from what is asked: projection at the stop over the overstand
  const slope =
    (body.top(origin + dims.stop, 0, 40 * k) + dims.projection - dims.overstand - (edgeNut + edgeEnd) / 2 - camber(0, 0)) / dims.stop;
  const thinShare = random.between(0.25, 0.45);
  let bed: number;
  if (early) {
    bed = random.between(-0.3, 1.6) * RAD;
    const wedge = (): number =>
      Math.max(0.85 * edgeNut, edgeNut + Math.tan(Math.atan(slope) - bed) * dims.board - (camber(end, 0) - camber(-length, 0)));
    edgeEnd = wedge();
    // a bed as low as the ribs where the arching leaves room for it under the board's edges
    const room = (): number => {
      let least = Infinity;
      for (let t = 0.1; t <= 1; t += 0.05) {
        const [x, half] = [t * end, boardHalf(dims, (length + t * end) / dims.board)];
        const thinned = traits.thinned ? thinShare * edgeEnd * Math.max(0, (t - THIN_FROM) / (1 - THIN_FROM)) ** 1.4 : 0;
        const y = 0.9 * half;
        least = Math.min(least, dims.overstand + x * Math.tan(bed) + thinned - body.top(origin + x, y, body.distance(origin + x, y)));
      }
      return least;
    };
    const clear = random.between(2.2, 3.5) * k;
    const thickest = random.between(1.5, 2.3) * dims.boardEdge;
    while ((room() < clear || edgeEnd > thickest) && bed < 12 * RAD) {
      bed += 0.1 * RAD;
      edgeEnd = wedge();
    }
  } else bed = Math.atan(slope) - Math.atan((edgeEnd + camber(end, 0) - edgeNut - camber(-length, 0)) / dims.board);
  const edgeAt = (u: number): number => edgeNut + (edgeEnd - edgeNut) * xi(u);
  const facetWide = 0.2 * dims.boardEnd;
  const surface = (u: number, v: number): number => {
    const plain = (q: number): number => edgeAt(u) + camber(u, q);
    let h = plain(v);
    if (traits.facet) {
      const a = -boardHalf(dims, xi(u)) + 0.4 * k;
      const b = a + facetWide * (0.55 + 0.45 * xi(u));
      if (v > a && v < b) h = plain(a) + ((plain(b) - plain(a)) * (v - a)) / (b - a);
    }
    return h - scoopAt(u, v);
  };
  const thinBy = thinShare * edgeEnd;
  const thinFrom = THIN_FROM * end;
  const lower = (u: number): number => (traits.thinned && u > thinFrom ? thinBy * ((u - thinFrom) / (end - thinFrom)) ** 1.4 : 0);
  const lowerHalf = (u: number, side: 1 | -1): number => upperHalf(u, side) - (surface(u, side * upperHalf(u, side)) - lower(u)) * sideLean;

  // placement on the body
  const roll = traits.roll * RAD;
  const yaw = traits.yaw * RAD;
  const offset = 0.3 * k * random.normal();
  const over = dims.overstand;
  const [cr, sr, cy, sy] = [Math.cos(roll), Math.sin(roll), Math.cos(yaw), Math.sin(yaw)];
  const place = (X: number, v: number, Z: number, out: Float64Array): void => {
    const y = v * cr - (Z - over) * sr;
    const z = v * sr + (Z - over) * cr;
    out[0] = origin + (X - origin) * cy - y * sy;
    out[1] = offset + (X - origin) * sy + y * cy;
    out[2] = over + z;
  };
  const unplace = (x: number, y: number, z: number, out: Float64Array): void => {
    const a = (x - origin) * cy + (y - offset) * sy;
    const b = -(x - origin) * sy + (y - offset) * cy;
    out[0] = origin + a;
    out[1] = b * cr + (z - over) * sr;
    out[2] = over - b * sr + (z - over) * cr;
  };
  const [cb, sb] = [Math.cos(bed), Math.sin(bed)];
  const twist = traits.twist * RAD;
  const boardPoint = (u: number, v: number, w: number, out: Float64Array): void => {
    const a = twist * (xi(u) - xi(0));
    const v2 = v * Math.cos(a) - w * Math.sin(a);
    const w2 = v * Math.sin(a) + w * Math.cos(a);
    place(origin + u * cb - w2 * sb, v2, over + u * sb + w2 * cb, out);
  };

  // the wood: contour C and root line G in the plane
  const buttonZ = body.backCrest(0) - 0.04 * body.edge;
  const rise = dims.neckThickness * random.between(0.07, 0.13);
  const back = (u: number): number => {
    const t = (u + length) / length;
    return dims.neckThickness + rise * t + 0.02 * dims.neckThickness * Math.sin(2.6 * t) - surface(u, 0) - scoopAt(u, 0);
  };
  const glue = (u: number): readonly [number, number] => [origin + u * cb, over + u * sb];
  const neckBack = (u: number): readonly [number, number] => {
    const g = glue(u);
    const d = back(u);
    return [g[0] + d * sb, g[1] - d * cb];
  };
  const lean = random.between(5, early ? 9 : 15) * RAD;
  const family = random.pick(['straight', 's-curve', 'hollow', 'bulging'] as const);
  const bow = random.between(0.3, 1.1) * k ** 0.8;
  const height = over - buttonZ;
  const shape = (h: number): number => {
    const t = h / (THROAT_FROM * height);
    if (family === 'straight') return 0.06 * bow * Math.sin(Math.PI * t);
    if (family === 's-curve') return 0.8 * bow * Math.sin(2 * Math.PI * t ** 0.9);
    return (family === 'hollow' ? -1 : 0.9) * bow * Math.sin(Math.PI * t);
  };
  const nose = origin - dims.buttonLength;
  const heelX = (z: number): number => nose - Math.tan(lean) * (z - buttonZ) - shape(z - buttonZ);
  const z1 = buttonZ + THROAT_FROM * height;
  const p0 = [heelX(z1), z1] as const;
  const d0 = unit2(heelX(z1 - 0.01) - heelX(z1), -0.01);
  // where heel and neck would meet, and from there a wider leg along the neck
  let uk = (p0[0] - origin) / cb;
  for (let i = 0; i < 20; i++) {
    const b = neckBack(uk);
    const x = p0[0] + ((b[1] - p0[1]) * d0[0]) / d0[1];
    uk += (x - b[0]) / cb;
  }
  const corner = neckBack(uk);
  const leg = Math.hypot(corner[0] - p0[0], corner[1] - p0[1]);
  const u1 = uk - leg * random.between(1.5, 2.3);
  const p3 = neckBack(u1);
  const q = neckBack(u1 - 0.01);
  const d3 = unit2(p3[0] - q[0], p3[1] - q[1]);
  const leg3 = Math.hypot(corner[0] - p3[0], corner[1] - p3[1]);
  const rootX = origin + random.between(3.4, 5) * k;
  const rootU = (rootX - origin) / cb;
  const step = 0.25 * k;
  const pts: number[] = [];
  const start = -length - 5.5 * k;
  const n1 = Math.ceil((u1 - start) / step);
  for (let i = 0; i < n1; i++) {
    const u = start + ((u1 - start) * i) / n1;
    const b = neckBack(Math.max(u, -length));
    const g = glue(u);
    const g0 = glue(Math.max(u, -length));
    pts.push(g[0], g[1], b[0] + g[0] - g0[0], b[1] + g[1] - g0[1]);
  }
  const g1 = glue(u1);
  const gk = glue(rootU);
  const legA = Math.hypot(gk[0] - g1[0], gk[1] - g1[1]);
  const legB = gk[1] - z1;
  const n2 = Math.ceil(Math.max(legA + legB, 2 * leg) / step);
  for (let i = 0; i < n2; i++) {
    const t = i / n2;
    const s = 1 - t;
    const c = [0, 1].map(
      (a) => s ** 3 * p3[a] + 3 * s * s * t * (p3[a] + 0.62 * leg3 * d3[a]) + 3 * s * t * t * (p0[a] - 0.62 * leg * d0[a]) + t ** 3 * p0[a],
    );
    // the root line rests where it turns down: no crease in the sides
    const turn = legA / (legA + legB);
    const at = t < turn ? legA * (1 - (1 - t / turn) ** 2) : legA + legB * ((t - turn) / (1 - turn)) ** 2;
    const g = at < legA ? [g1[0] + ((gk[0] - g1[0]) * at) / legA, g1[1] + ((gk[1] - g1[1]) * at) / legA] : [gk[0], gk[1] - (at - legA)];
    pts.push(g[0], g[1], c[0], c[1]);
  }
  const n3 = Math.ceil((z1 - buttonZ) / step);
  for (let i = 0; i <= n3; i++) {
    const z = z1 + ((buttonZ - z1) * i) / n3;
    pts.push(gk[0], z, heelX(z), z);
  }
  const sections = pts.length / 4;
  const column = (c: number): Float64Array => Float64Array.from({ length: sections }, (_, i) => pts[i * 4 + c]);
  const [gx, gz, cx, cz] = [column(0), column(1), column(2), column(3)];
  const along = new Float64Array(sections);
  for (let i = 1; i < sections; i++) along[i] = along[i - 1] + Math.hypot(cx[i] - cx[i - 1], cz[i] - cz[i - 1]);
  const half = new Float64Array(sections);
  const rootHalf = (lowerHalf(rootU, 1) + lowerHalf(rootU, -1)) / 2;
  const taper = spline([0, 0.25, 0.6, 1], [0, random.between(0.12, 0.2), random.between(0.45, 0.62), 1]);
  for (let i = 0; i < sections; i++) {
    const u = (gx[i] - origin) / cb;
    const down = over + u * sb - gz[i];
    half[i] =
      down < 1e-6
        ? (lowerHalf(Math.max(u, -length), 1) + lowerHalf(Math.max(u, -length), -1)) / 2
        : rootHalf + (dims.button / 2 - rootHalf) * taper(down / (over - buttonZ));
  }
  smoothAlong(half, Math.round((7 * k) / step));
  const a = [random.between(2.05, 2.5), random.between(2.05, 2.5)];
  const b = [random.between(1.75, 2.15), random.between(1.75, 2.15)];
  const exponent = (t: number, e: number, i: number): number => {
    const f = Math.min(1, along[Math.min(sections - 1, Math.max(0, Math.round(t)))] / along[sections - 1]);
    return (i === 0 ? a : b)[e] * (1 - 0.08 * f) + (i === 0 ? 2.1 : 2) * 0.08 * f;
  };
  const loft = (t: number, phi: number, out: Float64Array): void => {
    const i = Math.min(sections - 2, Math.max(0, Math.floor(t)));
    const f = t - i;
    const s = Math.sin(phi);
    const e = s >= 0 ? 1 : 0;
    const tau = Math.sign(s) * Math.abs(s) ** (2 / exponent(t, e, 0));
    const S = Math.max(0, Math.cos(phi)) ** (2 / exponent(t, e, 1));
    const Gx = gx[i] + (gx[i + 1] - gx[i]) * f;
    const Gz = gz[i] + (gz[i + 1] - gz[i]) * f;
    out[0] = Gx + (cx[i] + (cx[i + 1] - cx[i]) * f - Gx) * S;
    out[1] = (half[i] + (half[i + 1] - half[i]) * f) * tau;
    out[2] = Gz + (cz[i] + (cz[i + 1] - cz[i]) * f - Gz) * S;
  };
  const tmp = new Float64Array(3);
  const holds = (x: number, y: number, z: number, margin: number): boolean => {
    unplace(x, y, z, tmp);
    const [X, v, Z] = tmp;
    if (X > rootX || X < gx[0] || Math.abs(v) > rootHalf + margin) return false;
    const f = (i: number): number => (cx[i] - gx[i]) * (Z - gz[i]) - (cz[i] - gz[i]) * (X - gx[i]);
    if (f(0) < 0 || f(sections - 1) > 0) return false;
    let low = 0;
    let high = sections - 1;
    while (high - low > 1) {
      const mid = (low + high) >> 1;
      if (f(mid) > 0) low = mid;
      else high = mid;
    }
    const fl = f(low);
    const t = fl / Math.max(1e-12, fl - f(high));
    const Gx = gx[low] + (gx[high] - gx[low]) * t;
    const Gz = gz[low] + (gz[high] - gz[low]) * t;
    const rx = cx[low] + (cx[high] - cx[low]) * t - Gx;
    const rz = cz[low] + (cz[high] - cz[low]) * t - Gz;
    const sigma = ((X - Gx) * rx + (Z - Gz) * rz) / (rx * rx + rz * rz);
    if (sigma < 0 || sigma > 1) return false;
    const e = v >= 0 ? 1 : 0;
    const wide = (half[low] + (half[high] - half[low]) * t) * (1 - sigma ** exponent(low, e, 1)) ** (1 / exponent(low, e, 0));
    return Math.abs(v) <= wide + margin;
  };
  return {
    dims,
    origin,
    bed,
    length,
    end,
    place,
    unplace,
    boardPoint,
    upperHalf,
    lowerHalf,
    surface,
    lower,
    sections,
    gx,
    gz,
    cx,
    cz,
    half,
    along,
    loft,
    holds,
    rootX,
    buttonZ,
    arrisRound: random.between(0.35, 0.9) * k,
    arrisKind: random.chance(0.6) ? 'rounded' : 'chamfered',
    hollow: random.between(0.8, 1.8) * k,
    endLean: random.between(-0.05, 0.22),
    facet: traits.facet,
    thinned: traits.thinned,
    flare: traits.flare,
    fillet: traits.fillet ? random.between(0.8, 2.2) * k : 0,
  };
}

/** two running means: the sides of the wood turn into the heel without a crease; the ends stay */
function smoothAlong(values: Float64Array, reach: number): void {
  const n = values.length;
  for (let pass = 0; pass < 2; pass++) {
    const sum = new Float64Array(n + 1);
    for (let i = 0; i < n; i++) sum[i + 1] = sum[i] + values[i];
    const old = Float64Array.from(values);
    for (let i = 0; i < n; i++) {
      const r = Math.min(reach, i, n - 1 - i);
      values[i] = r > 0 ? (sum[i + r + 1] - sum[i - r]) / (2 * r + 1) : old[i];
    }
  }
}

function boardHalf(dims: Dimensions, xi: number): number {
  return (dims.boardNut + (dims.boardEnd - dims.boardNut) * xi) / 2;
}

function unit2(x: number, y: number): readonly [number, number] {
  const n = Math.hypot(x, y);
  return [x / n, y / n];
}

/** x of the outline beside a neck root of that half width */
function jointX(body: Body, half: number): number {
  const p = new Float64Array(4);
  let x = 0;
  for (const sign of [1, -1]) {
    let s = 0;
    for (let i = 0; i < 400; i++) {
      body.outline.at(sign * s, p);
      if (Math.abs(p[1]) >= half) break;
      s += 0.1 * body.scale;
    }
    x += p[0] / 2;
  }
  return x;
}
