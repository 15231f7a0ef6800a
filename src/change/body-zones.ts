import type { Cloud } from '../geometry/cloud.ts';
import { quantile } from '../numerics/statistics.ts';
import type { ZoneOf } from './cores.ts';

export const ZONE = { top: 1, ribs: 2, back: 3 } as const;

/** What of the body must be known to tell its surfaces apart; instrument frame, mm. */
export interface BodyShape {
  readonly bodyLength: number;
  readonly size: number;
  /** x of the board's end, if it is seen. */
  readonly boardEnd: number | undefined;
}

/** |cosine| to z from which on a surface is a plate, and up to which it is a rib. */
const PLATE = 0.7;
const UPRIGHT = 0.35;
/** Heights of the top over the edge plane, shares of body length: channel to the highest arch. */
const TOP = { from: -0.012, to: 0.075 };
/** Depth of the back below it: 0.068 on the flattest violin, 0.28 with the arch of a bass's or cello's. */
const BACK = { from: -0.3, to: -0.06 };
/** Edge cells of the map in which the plates' layer is looked for, mm × size, and what the arching may rise within one. */
const MAP = 7;
const RISE = 3;
/** Width of the rim that holds no smooth patch, mm × size. */
const RIM = 8;
/** Left out round the neck: half its root's width, and how far the heel, button and root reach into the body; shares of body length. */
const NECK = { half: 0.075, upTo: 0.035 };
/** Shadow of the board on the top: half-width, share of body length, and what else is left out beyond its end, mm × size. */
const BOARD = { half: 0.075, usualEnd: 0.4, margin: 6 };
/** Saddle and end button, shares of body length. */
const TAIL = { half: 0.075, from: 0.965 };
/** Ribs: distance from the top's edge and from the back's, mm × size. */
const RIB_MARGIN = 7;
/** How far beside a rib the plates are looked for, mm × size: beyond the overhang and a cell of the map. */
const BESIDE = 10;
/** Share of the back's heights below which its edges lie: it is arched. */
const BACK_EDGE = 0.9;

/**
 * Tells top, ribs and back apart by place and direction alone, and leaves out neck, heel, button, board, saddle, f-hole walls and what stands on the plates. What is
 * still in the way is left to the registration, which is robust.
 */
export function bodyZones(cloud: Cloud, shape: BodyShape): ZoneOf {
  const { bodyLength: L, size } = shape;
  const cell = MAP * size;
  const key = (x: number, y: number): number => Math.floor(x / cell) * 4096 + Math.floor(y / cell);
  const tops = new Map<number, number>();
  const backs = new Map<number, number>();
  const heights: number[] = [];
  eachPlatePoint(cloud, L, (x, y, z) => {
    const k = key(x, y);
    if (z > BACK.to * L) tops.set(k, Math.min(tops.get(k) ?? Infinity, z));
    else {
      backs.set(k, Math.max(backs.get(k) ?? -Infinity, z));
      heights.push(z);
    }
  });
  const backEdge = heights.length > 0 ? quantile(heights, BACK_EDGE) : -Infinity;
  const boardEnd = (shape.boardEnd ?? BOARD.usualEnd * L) + BOARD.margin * size;
  /** Whether the plate goes on round a place: crest, channel and rim are too curved to be read by patches. */
  const inside = (plate: ReadonlyMap<number, number>, x: number, y: number): boolean => {
    const d = RIM * size;
    return plate.has(key(x - d, y)) && plate.has(key(x + d, y)) && plate.has(key(x, y - d)) && plate.has(key(x, y + d));
  };
  return (x, y, z, n) => {
    if (x < 0 || x > L || (Math.abs(y) < NECK.half * L && x < NECK.upTo * L) || (Math.abs(y) < TAIL.half * L && x > TAIL.from * L))
      return 0;
    if (Math.abs(n[2]) > PLATE) {
      const upper = z > BACK.to * L;
      outwards(n, upper ? n[2] > 0 : n[2] < 0);
      if (upper) {
        if (z < TOP.from * L || z > TOP.to * L || (x < boardEnd && Math.abs(y) < BOARD.half * L)) return 0;
        return z < (tops.get(key(x, y)) ?? -Infinity) + RISE * size && inside(tops, x, y) ? ZONE.top : 0;
      }
      return z > BACK.from * L && z > (backs.get(key(x, y)) ?? Infinity) - RISE * size && inside(backs, x, y) ? ZONE.back : 0;
    }
    if (Math.abs(n[2]) > UPRIGHT || z > -RIB_MARGIN * size || z < (backEdge === -Infinity ? BACK.to * L : backEdge + RIB_MARGIN * size))
      return 0;
    // Outwards is where no plate is above or below: at corners and in the waist the middle of the body lies every way.
    const step = BESIDE * size;
    const plateAt = (side: 1 | -1): boolean => {
      const k = key(x + side * step * n[0], y + side * step * n[1]);
      return tops.has(k) || backs.has(k);
    };
    const [ahead, behind] = [plateAt(1), plateAt(-1)];
    outwards(n, ahead === behind ? n[0] * (x - L / 2) + 2 * n[1] * y > 0 : behind);
    return ZONE.ribs;
  };
}

function outwards(n: Float64Array, already: boolean): void {
  if (already) return;
  for (let k = 0; k < 3; k++) n[k] = -n[k];
}

function eachPlatePoint(cloud: Cloud, L: number, visit: (x: number, y: number, z: number) => void): void {
  const p = cloud.positions;
  for (let i = 0; i < cloud.count; i++) {
    const [x, y, z] = [p[3 * i], p[3 * i + 1], p[3 * i + 2]];
    if (x < 0 || x > L || z < BACK.from * L || z > TOP.to * L || Math.abs(cloud.normals[3 * i + 2]) < PLATE) continue;
    if (z > TOP.from * L || z < BACK.to * L) visit(x, y, z);
  }
}
