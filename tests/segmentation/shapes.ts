import type { Scan } from '../../src/geometry/scan.ts';
import type { Random } from '../../src/numerics/random.ts';

/** A scan from bare coordinates, as a reader would hand it on. */
export function cloudScan(rows: readonly (readonly [number, number, number])[]): Scan {
  return {
    format: 'xyz',
    positions: Float32Array.from(rows.flat()),
    origin: [0, 0, 0],
    triangles: undefined,
    storedPoints: rows.length,
    storedTriangles: 0,
    formatUnit: undefined,
    dropped: {},
    warnings: [],
  };
}

type Points = [number, number, number][];

/** Points on a sheet u, v in 0…1. */
function sheet(n: number, m: number, at: (u: number, v: number) => [number, number, number]): Points {
  const out: Points = [];
  for (let i = 0; i <= n; i++) for (let j = 0; j <= m; j++) out.push(at(i / n, j / m));
  return out;
}

export const plane = (): Points => sheet(80, 60, (u, v) => [400 * u, 300 * v, 0]);

export function box(a: number, b: number, c: number, n = 40): Points {
  return [0, 1].flatMap((s) => [
    ...sheet(n, n, (u, v) => [a * u, b * v, c * s]),
    ...sheet(n, n, (u, v) => [a * u, b * s, c * v]),
    ...sheet(n, n, (u, v) => [a * s, b * u, c * v]),
  ]);
}

export const sphere = (): Points =>
  sheet(80, 80, (u, v) => [
    100 * Math.sin(Math.PI * u) * Math.cos(2 * Math.PI * v),
    100 * Math.sin(Math.PI * u) * Math.sin(2 * Math.PI * v),
    100 * Math.cos(Math.PI * u),
  ]);

export const torus = (): Points =>
  sheet(120, 60, (u, v) => {
    const r = 100 + 30 * Math.cos(2 * Math.PI * v);
    return [r * Math.cos(2 * Math.PI * u), r * Math.sin(2 * Math.PI * u), 30 * Math.sin(2 * Math.PI * v)];
  });

/** A body, a head, two long ears and a tail: what modellers test with. */
export function animal(): Points {
  const ball = (x: number, y: number, z: number, a: number, b: number, c: number): Points =>
    sphere().map(([p, q, r]) => [x + (a * p) / 100, y + (b * q) / 100, z + (c * r) / 100]);
  return [
    ...ball(0, 0, 0, 80, 60, 65),
    ...ball(70, 0, 55, 40, 36, 36),
    ...ball(85, 20, 115, 9, 16, 45),
    ...ball(85, -20, 115, 9, 16, 45),
    ...ball(-82, 0, 5, 16, 16, 16),
  ];
}

export const randomPoints = (random: Random): Points =>
  Array.from({ length: 8000 }, () => [300 * random.uniform(), 200 * random.uniform(), 60 * random.uniform()]);

/** An instrument-like thing: an outline on a body of even depth, with a neck and a head. */
interface Stringed {
  readonly length: number;
  /** Half-width ÷ length at t = 0 (neck end) … 1. */
  readonly halfWidth: (t: number) => number;
  readonly depth: number;
  readonly round: 'flat' | 'bowl';
  readonly neckLength: number;
  readonly neckWidth: number;
  /** Height of the board over the top. */
  readonly boardHeight: number;
  readonly boardEnd: number;
  readonly head: { readonly length: number; readonly width: number };
}

function stringed(s: Stringed): Points {
  const L = s.length;
  const out: Points = sheet(120, 60, (u, v) => [u * L, (2 * v - 1) * L * s.halfWidth(u), 0]);
  out.push(
    ...sheet(120, 60, (u, v) => {
      const y = 2 * v - 1;
      return [
        u * L,
        y * L * s.halfWidth(u),
        -s.depth * (s.round === 'bowl' ? Math.sqrt(Math.max(0, 1 - y * y)) * (s.halfWidth(u) / 0.4) : 1),
      ];
    }),
  );
  if (s.round === 'flat')
    for (const side of [-1, 1]) out.push(...sheet(160, 20, (u, v) => [u * L, side * L * s.halfWidth(u), -s.depth * v]));
  const half = s.neckWidth / 2;
  out.push(...sheet(150, 12, (u, v) => [-s.neckLength + u * (s.neckLength + s.boardEnd), half * (2 * v - 1), s.boardHeight]));
  out.push(...sheet(90, 16, (u, v) => [-s.neckLength * (1 - u), half * Math.cos(Math.PI * v), -0.7 * half * Math.sin(Math.PI * v)]));
  out.push(...sheet(30, 20, (u, v) => [-s.neckLength - u * s.head.length, (s.head.width / 2) * (2 * v - 1), -4 - 0.2 * u * s.head.length]));
  return out;
}

const spline = (knots: readonly (readonly [number, number])[]) => (t: number) => {
  const i = Math.max(
    1,
    knots.findIndex((k) => k[0] >= t),
  );
  const [[a, p], [b, q]] = [knots[i - 1], knots[i]];
  const s = (t - a) / (b - a);
  return p + (q - p) * s * s * (3 - 2 * s);
};

/** Steel-string guitar: a shallow round waist without corners, a long neck level with the top. */
export const guitar = (): Points =>
  stringed({
    length: 490,
    depth: 105,
    round: 'flat',
    neckLength: 330,
    neckWidth: 50,
    boardHeight: 6,
    boardEnd: 110,
    head: { length: 180, width: 72 },
    halfWidth: spline([
      [0, 0.02],
      [0.05, 0.17],
      [0.22, 0.29],
      [0.45, 0.245],
      [0.74, 0.39],
      [0.95, 0.25],
      [1, 0.02],
    ]),
  });

/** Lute: a pear without a waist over a bowl, a short neck. */
export const lute = (): Points =>
  stringed({
    length: 480,
    depth: 150,
    round: 'bowl',
    neckLength: 200,
    neckWidth: 60,
    boardHeight: 3,
    boardEnd: 10,
    head: { length: 60, width: 60 },
    halfWidth: spline([
      [0, 0.06],
      [0.3, 0.24],
      [0.7, 0.33],
      [0.92, 0.2],
      [1, 0.02],
    ]),
  });

/** Ukulele-like: a small guitar. */
export const smallGuitar = (): Points =>
  stringed({
    length: 235,
    depth: 60,
    round: 'flat',
    neckLength: 190,
    neckWidth: 38,
    boardHeight: 5,
    boardEnd: 60,
    head: { length: 110, width: 55 },
    halfWidth: spline([
      [0, 0.02],
      [0.06, 0.2],
      [0.23, 0.3],
      [0.43, 0.22],
      [0.72, 0.38],
      [0.95, 0.22],
      [1, 0.02],
    ]),
  });

/** A fingerboard alone. */
export const loneBoard = (): Points => [
  ...sheet(150, 24, (u, v) => [270 * u, (12 + 9 * u) * (2 * v - 1), 5 + 4 * (1 - (2 * v - 1) ** 2)] as [number, number, number]),
  ...sheet(150, 24, (u, v) => [270 * u, (12 + 9 * u) * (2 * v - 1), 0] as [number, number, number]),
];
