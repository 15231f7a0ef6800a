import type { Cloud } from '../geometry/cloud.ts';
import { quantile } from '../numerics/statistics.ts';
import { templateHalfWidth } from './body-template.ts';

/** A plane z = c + a x + b y through one rim of the body, in the cloud's coordinates. */
export interface RimPlane {
  readonly c: number;
  readonly a: number;
  readonly b: number;
  /** Median distance of the rim's stations to the plane, share of body length: an edge is flat to a few thousandths. */
  readonly scatter: number;
  readonly stations: number;
}

/** Stations along the body (share of its length): corners, neck and tail end left out. */
const STATION_STEP = 0.02;
const LEFT_OUT: readonly (readonly [number, number])[] = [
  [0.33, 0.4],
  [0.57, 0.66],
];
/** Points that lie within this of the outermost point of a station belong to its rim, share of body length. */
const RIM_DEPTH = 0.012;
/** A station needs this many points of the thinned cloud. */
const FEWEST = 3;
/** Stations farther than this from the template's outline do not count: rests, hands, tables. */
const OFF_TEMPLATE = 0.06;

/**
 * Upper and lower rim of the body: the highest and lowest points near the outline, station by station on both sides, and planes through them that
 * clutter cannot pull (iterated weights 1/|r|).
 *
 * @param cloud  thinned, x from the joint to the tail, y across, any sign of z
 */
export function rimPlanes(cloud: Cloud, bodyLength: number): { readonly upper: RimPlane; readonly lower: RimPlane } | undefined {
  const rims = rimStations(cloud, bodyLength);
  if (rims.length < 8) return undefined;
  return {
    upper: robustPlane(
      rims.map((r) => [r.x, r.y, r.high]),
      bodyLength,
    ),
    lower: robustPlane(
      rims.map((r) => [r.x, r.y, r.low]),
      bodyLength,
    ),
  };
}

interface RimStation {
  readonly x: number;
  readonly y: number;
  readonly high: number;
  readonly low: number;
}

function rimStations(cloud: Cloud, bodyLength: number): RimStation[] {
  const bins = Math.round(1 / STATION_STEP);
  const members: number[][] = Array.from({ length: 2 * bins }, () => []);
  const p = cloud.positions;
  for (let i = 0; i < cloud.count; i++) {
    const t = p[3 * i] / bodyLength;
    if (t < 0.04 || t > 0.97) continue;
    const y = p[3 * i + 1];
    if (Math.abs(Math.abs(y) / bodyLength - templateHalfWidth(t)) > OFF_TEMPLATE) continue;
    members[Math.min(bins - 1, Math.floor(t * bins)) + (y > 0 ? bins : 0)].push(i);
  }
  const rims: RimStation[] = [];
  members.forEach((ids, m) => {
    const t = ((m % bins) + 0.5) * STATION_STEP;
    if (ids.length < FEWEST || LEFT_OUT.some(([a, b]) => t > a && t < b)) return;
    const outermost = quantile(
      ids.map((i) => Math.abs(p[3 * i + 1])),
      0.97,
    );
    const rim = ids.filter((i) => Math.abs(p[3 * i + 1]) > outermost - RIM_DEPTH * bodyLength);
    if (rim.length < FEWEST) return;
    const z = rim.map((i) => p[3 * i + 2]);
    rims.push({ x: t * bodyLength, y: (m >= bins ? 1 : -1) * outermost, high: quantile(z, 0.97), low: quantile(z, 0.03) });
  });
  return rims;
}

/** Rounds of reweighting: the weights 1/|r| settle within a dozen. */
const ROUNDS = 15;

function robustPlane(rows: readonly (readonly number[])[], bodyLength: number): RimPlane {
  const floor = 0.0015 * bodyLength;
  let plane = {
    c: quantile(
      rows.map((r) => r[2]),
      0.5,
    ),
    a: 0,
    b: 0,
  };
  const residual = (r: readonly number[]) => r[2] - plane.c - plane.a * r[0] - plane.b * r[1];
  for (let round = 0; round < ROUNDS; round++)
    plane = weightedPlane(
      rows,
      rows.map((r) => 1 / Math.max(floor, Math.abs(residual(r)))),
    );
  return {
    ...plane,
    scatter:
      quantile(
        rows.map((r) => Math.abs(residual(r))),
        0.5,
      ) / bodyLength,
    stations: rows.length,
  };
}

function weightedPlane(rows: readonly (readonly number[])[], weights: readonly number[]): { c: number; a: number; b: number } {
  let [w, x, y, z] = [0, 0, 0, 0];
  rows.forEach((r, i) => {
    w += weights[i];
    x += weights[i] * r[0];
    y += weights[i] * r[1];
    z += weights[i] * r[2];
  });
  x /= w;
  y /= w;
  z /= w;
  let [xx, xy, yy, xz, yz] = [0, 0, 0, 0, 0];
  rows.forEach((r, i) => {
    const [dx, dy, dz] = [r[0] - x, r[1] - y, r[2] - z];
    xx += weights[i] * dx * dx;
    xy += weights[i] * dx * dy;
    yy += weights[i] * dy * dy;
    xz += weights[i] * dx * dz;
    yz += weights[i] * dy * dz;
  });
  const det = xx * yy - xy * xy;
  if (!(det > 1e-9 * xx * yy)) return { c: z, a: 0, b: 0 };
  const a = (xz * yy - yz * xy) / det;
  const b = (yz * xx - xz * xy) / det;
  return { c: z - a * x - b * y, a, b };
}
