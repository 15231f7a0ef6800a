import type { Cloud } from '../geometry/cloud.ts';
import { cross, dot, norm, scale, subtract, type Vec3 } from '../geometry/vec3.ts';
import type { Random } from '../numerics/random.ts';
import { planeAxes } from './plate-direction.ts';

/** A plane n·p = d. */
export interface SupportPlane {
  readonly normal: Vec3;
  readonly offset: number;
}

/**
 * Triples drawn: a plane that holds a tenth of the points is met with probability 1 − (1 − 0.001)^4000 = 98 %, a table (a quarter and more) always.
 * Nearly all are dismissed by their three normals, before any counting.
 */
const TRIES = 4000;
/** Points that a plane is counted on: its share is then known to ± 1 %. */
const COUNTED = 1500;
/** A table must hold at least this share of the seen surface; boards and flat ribs hold less than a tenth. */
const LEAST_SHARE = 0.1;
/** Inliers lie this near, relative to the cloud's diagonal: warped tables and noise stay within it, arched plates do not. */
const TOLERANCE = 0.004;
/** Normals of inliers agree within 20°. */
const COS_NORMAL = 0.94;
/** Share of everything else that must lie on one side: things stand on a table, they hardly cross it (a padded rest sinks in). */
const ONE_SIDED = 0.96;
/** Share of the plane's footprint that nothing else stands over: the flat back of a bass is covered by its ribs and top, a table is not. */
const BARE_SHARE = 0.18;

/**
 * A table, wall or backdrop in the scan: the plane with the largest area, provided everything else lies on one side of it and a good part of it is
 * bare. `undefined` when there is none.
 *
 * @param cloud  thinned scan, any unit
 */
export function supportPlane(cloud: Cloud, diagonal: number, random: Random): SupportPlane | undefined {
  if (cloud.count < 3) return undefined;
  const tolerance = TOLERANCE * diagonal;
  const counted = Int32Array.from({ length: Math.min(COUNTED, cloud.count) }, (_, k) =>
    Math.floor((k * cloud.count) / Math.min(COUNTED, cloud.count)),
  );
  const total = counted.reduce((s, i) => s + cloud.areas[i], 0);
  let best: SupportPlane | undefined;
  let bestArea = LEAST_SHARE * total;
  for (let t = 0; t < TRIES; t++) {
    const plane = planeOfThree(cloud, random, 0.03 * diagonal);
    if (plane === undefined) continue;
    const area = inlierArea(cloud, counted, plane, tolerance);
    if (area > bestArea) {
      bestArea = area;
      best = plane;
    }
  }
  return best !== undefined && isSupport(cloud, best, tolerance, diagonal) ? best : undefined;
}

const point = (cloud: Cloud, i: number): Vec3 => [cloud.positions[3 * i], cloud.positions[3 * i + 1], cloud.positions[3 * i + 2]];

/** The plane through three random points whose own normals agree with it. */
function planeOfThree(cloud: Cloud, random: Random, leastSide: number): SupportPlane | undefined {
  const pick = () => Math.min(cloud.count - 1, Math.floor(random.uniform() * cloud.count));
  const [i, j, k] = [pick(), pick(), pick()];
  if (!agree(cloud, i, j) || !agree(cloud, i, k)) return undefined;
  const a = point(cloud, i);
  const n = cross(subtract(point(cloud, j), a), subtract(point(cloud, k), a));
  const size = norm(n);
  if (!(size >= leastSide * leastSide) || size === 0) return undefined;
  const normal = scale(n, 1 / size);
  const m = cloud.normals;
  if ([i, j, k].some((q) => Math.abs(normal[0] * m[3 * q] + normal[1] * m[3 * q + 1] + normal[2] * m[3 * q + 2]) <= COS_NORMAL))
    return undefined;
  return { normal, offset: dot(normal, a) };
}

/** Two normals that both lie within 20° of a third agree within 40°. */
const COS_PAIR = 0.766;

function agree(cloud: Cloud, i: number, j: number): boolean {
  const m = cloud.normals;
  return Math.abs(m[3 * i] * m[3 * j] + m[3 * i + 1] * m[3 * j + 1] + m[3 * i + 2] * m[3 * j + 2]) > COS_PAIR;
}

const isInlier = (cloud: Cloud, i: number, plane: SupportPlane, tolerance: number): boolean => {
  const n = plane.normal;
  const p = cloud.positions;
  const m = cloud.normals;
  return (
    Math.abs(n[0] * p[3 * i] + n[1] * p[3 * i + 1] + n[2] * p[3 * i + 2] - plane.offset) < tolerance &&
    Math.abs(n[0] * m[3 * i] + n[1] * m[3 * i + 1] + n[2] * m[3 * i + 2]) > COS_NORMAL
  );
};

function inlierArea(cloud: Cloud, counted: Int32Array, plane: SupportPlane, tolerance: number): number {
  let area = 0;
  for (const i of counted) if (isInlier(cloud, i, plane, tolerance)) area += cloud.areas[i];
  return area;
}

function isSupport(cloud: Cloud, plane: SupportPlane, tolerance: number, diagonal: number): boolean {
  const n = plane.normal;
  const [u, v] = planeAxes(n);
  const cell = diagonal / 60;
  const key = (p: Vec3) => Math.floor(dot(u, p) / cell) * 4096 + Math.floor(dot(v, p) / cell);
  const own = new Set<number>();
  const others = new Set<number>();
  let above = 0;
  let below = 0;
  for (let i = 0; i < cloud.count; i++) {
    const p = point(cloud, i);
    const h = dot(n, p) - plane.offset;
    if (isInlier(cloud, i, plane, tolerance)) own.add(key(p));
    else if (Math.abs(h) > 2 * tolerance) {
      others.add(key(p));
      if (h > 0) above += cloud.areas[i];
      else below += cloud.areas[i];
    }
  }
  let bare = 0;
  for (const k of own) if (!others.has(k)) bare++;
  return Math.max(above, below) > ONE_SIDED * (above + below) && bare > BARE_SHARE * own.size;
}
