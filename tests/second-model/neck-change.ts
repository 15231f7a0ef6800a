import { smooth } from './body.ts';
import { fromFrame } from './body-change.ts';
import type { Change } from './change.ts';
import type { TrueFrame } from './frame.ts';
import type { Neck } from './neck.ts';
import { warpCurve } from './neck-warp.ts';
import { applyRigid, compose, inverse, type Rigid, turn } from './rigid.ts';
import type { TrueValues } from './truth.ts';

const RAD = Math.PI / 180;
/** what does not count at each end of the board when a straightedge rests on it, mm */
const BOARD_ENDS = 2;
/** shares of the heel's height between which the warp's last part comes in */
const WARP_FADE = [0.5, 0.9] as const;

type Map3 = (x: number, y: number, z: number, out: Float64Array) => void;

export interface ChangedNeck {
  readonly neck: Neck;
  /** the wood's motion in the baseline's frame; of a warped neck that of its chord */
  readonly motion: Rigid;
  /** where a point of neck or heel goes, in the baseline's frame */
  readonly wood: Map3;
}

/** where the neck's back on the board's centreline passes a share of the neck's length from the nut, in the frame */
export function backPoint(base: TrueValues, share: number): readonly [number, number, number] {
  const c = base.features.neckBack;
  const a = Math.atan(base.boardLine.slope);
  const along = (i: number): number => c[i] * Math.cos(a) + (c[i + 2] - base.boardLine.z0) * Math.sin(a);
  const at = (share - 1) * base.values['neckLength'];
  let i = 0;
  while (i + 6 < c.length && along(i + 3) <= at) i += 3;
  const f = (at - along(i)) / (along(i + 3) - along(i));
  return [c[i] + (c[i + 3] - c[i]) * f, c[i + 1] + (c[i + 4] - c[i + 1]) * f, c[i + 2] + (c[i + 5] - c[i + 2]) * f];
}

/** The neck after the change. Everything happens in the baseline's frame, to points of the neck as it was. */
export function changedNeck(neck: Neck, frame: TrueFrame, base: TrueValues, change: Change, block: Rigid): ChangedNeck {
  const warp = warpOf(base, change.warp);
  const heel = heelTurn(base, change.root * RAD, change.bend * RAD);
  // the whole neck turns in the joint, at half the heel's height; with the block besides
  const middle = [0, 0, heel.low + heel.height / 2];
  const whole = compose(block, turn([change.roll * RAD, 0, change.yaw * RAD], middle, [0, ...change.shift]));
  const motion = compose(whole, heel.above);
  const p = new Float64Array(3);
  const flex: Map3 = (x, y, z, out) => {
    const b = heel.share(x);
    warp(
      x,
      y,
      z,
      change.warp === 0
        ? 0
        : 1 - b * (1 - smooth((z - heel.low - WARP_FADE[0] * heel.height) / ((WARP_FADE[1] - WARP_FADE[0]) * heel.height))),
      out,
    );
    heel.turned(out[0], out[1], out[2], b, out);
  };
  const wood: Map3 = (x, y, z, out) => {
    flex(x, y, z, out);
    applyRigid(whole, out[0], out[1], out[2], out);
  };
  const back = inverse(whole);
  const backAbove = inverse(motion);
  const unwood: Map3 = (x, y, z, out) => {
    applyRigid(back, x, y, z, p);
    const [tx, ty, tz] = p;
    applyRigid(backAbove, x, y, z, p);
    let [gx, gy, gz] = p;
    for (let i = 0; i < 30; i++) {
      flex(gx, gy, gz, p);
      const d = [tx - p[0], ty - p[1], tz - p[2]];
      gx += d[0];
      gy += d[1];
      gz += d[2];
      if (Math.abs(d[0]) + Math.abs(d[1]) + Math.abs(d[2]) < 1e-11) break;
    }
    out[0] = gx;
    out[1] = gy;
    out[2] = gz;
  };
  const board: Map3 = (x, y, z, out) => {
    warp(x, y, z, 1, out);
    applyRigid(motion, out[0], out[1], out[2], out);
  };
  const q = new Float64Array(3);
  const inBody = (map: Map3, x: number, y: number, z: number, out: Float64Array): void => {
    frame.to(x, y, z, q);
    map(q[0], q[1], q[2], q);
    fromFrame(frame, q[0], q[1], q[2], out);
  };
  const far = neck.rootX - neck.origin + 12 * (neck.dims.body / 355);
  const own = changedBoard(neck, base, change);
  return {
    motion,
    wood,
    neck: {
      ...own,
      place: (X, v, Z, out) => {
        neck.place(X, v, Z, out);
        inBody(wood, out[0], out[1], out[2], out);
      },
      unplace: (x, y, z, out) => {
        inBody(unwood, x, y, z, out);
        neck.unplace(out[0], out[1], out[2], out);
      },
      boardPoint: (u, v, w, out) => {
        own.boardPoint(u, v, w, out);
        inBody(board, out[0], out[1], out[2], out);
      },
      holds: (x, y, z, margin) => {
        frame.to(x, y, z, q);
        if (q[0] > far) return false;
        inBody(unwood, x, y, z, q);
        return neck.holds(q[0], q[1], q[2], margin);
      },
    },
  };
}

/** The warp about the chord of the neck's back, whose ends stay; `weight` of the displacement is taken. */
function warpOf(base: TrueValues, by: number): (x: number, y: number, z: number, weight: number, out: Float64Array) => void {
  const length = base.values['neckLength'];
  const a = Math.atan(base.boardLine.slope);
  const [ca, sa] = [Math.cos(a), Math.sin(a)];
  const [n, m] = [backPoint(base, 0.15), backPoint(base, 0.75)];
  const off = (q: readonly number[]): number => -q[0] * sa + (q[2] - base.boardLine.z0) * ca;
  const chord = (t: number): number => off(n) + ((off(m) - off(n)) * (t - 0.15)) / 0.6;
  return (x, y, z, weight, out) => {
    const along = x * ca + (z - base.boardLine.z0) * sa;
    // head and nut go on with the wood at the board's upper end
    const t = Math.max(0, 1 + along / length);
    out[0] = x;
    out[1] = y;
    out[2] = z;
    if (by === 0 || weight === 0 || t >= 1) return;
    const [value, slope] = warpCurve(t);
    const angle = Math.atan((by * slope) / length);
    const [c, s] = [Math.cos(angle), Math.sin(angle)];
    const [da, dw] = [along - (t - 1) * length, off([x, y, z]) - chord(t)];
    const moveA = weight * (da * c + dw * s - da);
    const moveW = weight * (-da * s + dw * c - dw - by * value);
    out[0] += moveA * ca - moveW * sa;
    out[2] += moveA * sa + moveW * ca;
  };
}

interface HeelTurn {
  readonly low: number;
  readonly height: number;
  /** the full pitch, as the rigid neck above has it */
  readonly above: Rigid;
  /** 1 in the heel, 0 from the end of the chord on to the nut, smooth through the throat */
  share(x: number): number;
  turned(x: number, y: number, z: number, share: number, out: Float64Array): void;
}

/** Root and bending of the heel: each cross-section turns as a whole; the axis, midway between contour and joint, is the integral. */
function heelTurn(base: TrueValues, root: number, bend: number): HeelTurn {
  const contour = base.features.heel;
  const last = contour.length - 3;
  const height = base.secondary['heelHeight'];
  // the contour's stretch goes from 15 to 50 % of the height
  const low = contour[2] - 0.15 * height;
  const lean = (contour[last] - contour[0]) / 2 / (contour[last + 2] - contour[2]);
  const foot = contour[0] / 2 - lean * (contour[2] - low);
  const [from, till] = [backPoint(base, 0.75)[0], contour[last]];
  if (!(from < till)) throw new RangeError('the heel begins before 75 % of the neck’s length');
  const section = (x: number, z: number, out: Float64Array): void => {
    const s = z - low;
    const part = Math.max(0, Math.min(height, s));
    const theta = root + (bend * part) / height;
    // integrals of the cosine and sine of the rotation from the root to here
    const half = (theta - root) / 2;
    const mean = (root + theta) / 2;
    const f = part * (Math.abs(half) < 1e-9 ? 1 : Math.sin(half) / half);
    const C = f * Math.cos(mean) + (s - part) * Math.cos(theta);
    const S = f * Math.sin(mean) + (s - part) * Math.sin(theta);
    const across = x - foot - lean * s;
    out[0] = foot + lean * C + S + across * Math.cos(theta);
    out[2] = low - lean * S + C - across * Math.sin(theta);
  };
  const top = new Float64Array(3);
  section(foot, low + height, top);
  const above = turn([0, root + bend, 0], [foot, 0, low + height], [top[0] - foot, 0, top[2] - low - height]);
  const rigid = new Float64Array(3);
  return {
    low,
    height,
    above,
    share: (x) => smooth((x - from) / (till - from)),
    turned: (x, y, z, share, out) => {
      applyRigid(above, x, y, z, rigid);
      section(x, z, out);
      out[0] = rigid[0] + share * (out[0] - rigid[0]);
      out[1] = y;
      out[2] = rigid[2] + share * (out[2] - rigid[2]);
    },
  };
}

/** The board itself: planed from nothing at the nut, a little hollower than straight; its free part bent like a loaded cantilever. */
function changedBoard(neck: Neck, base: TrueValues, change: Change): Neck {
  const { dims, length, end } = neck;
  const ca = Math.cos(Math.atan(base.boardLine.slope));
  const station = base.values['stop'] / ca;
  // upright height of lines through two places of the board, 2 mm from its ends, produced to the station
  const [u1, u2] = [BOARD_ENDS - length, end - BOARD_ENDS];
  const produced = (f: (u: number) => number): number => (f(u1) + ((f(u2) - f(u1)) * (station - u1)) / (u2 - u1)) / ca;
  const wedge = (u: number): number => Math.max(0, (u + length) / dims.board) ** 1.2;
  const deep = change.planed / produced(wedge);
  const freeFrom = (neck.rootX - neck.origin) / Math.cos(neck.bed);
  const sag = (u: number): number => {
    const t = Math.max(0, (u - freeFrom) / (end - freeFrom));
    return (t * t * (3 - t)) / 2;
  };
  const high = change.bent / produced(sag);
  const slope = (u: number): number => {
    const t = Math.max(0, (u - freeFrom) / (end - freeFrom));
    return (high * (3 * t - 1.5 * t * t)) / (end - freeFrom);
  };
  if (change.planed === 0 && change.bent === 0) return neck;
  return {
    ...neck,
    surface: (u, v) => neck.surface(u, v) + deep * wedge(u),
    // the upper arris moves along the side, which leans
    upperHalf: (u, side) => {
      const [top, low] = [neck.upperHalf(u, side), neck.lowerHalf(u, side)];
      return top + (deep * wedge(u) * (top - low)) / (neck.surface(u, side * top) - neck.lower(u));
    },
    boardPoint: (u, v, w, out) => neck.boardPoint(u - w * slope(u), v, w + high * sag(u), out),
  };
}
