import type { Cloud } from '../../geometry/cloud.ts';
import { mad, rms } from '../../numerics/statistics.ts';
import { orthonormalCubic } from './orthonormal-cubic.ts';

/** A smooth piece of the body: where its points lie in its own plane, and how far off a smooth surface through them. */
export interface NoisePatch {
  readonly count: number;
  /** n coordinates in the plane of the patch, mm, about its middle. */
  readonly u: Float64Array;
  readonly v: Float64Array;
  /** n distances from the cubic through the patch, along its mean normal, mm. */
  readonly residual: Float64Array;
  /** n × 10 orthonormal columns of that cubic, row-major: what of the noise the fit takes away is known by them. */
  readonly basis: Float64Array;
  /** RMS of the residuals, mm. */
  readonly spread: number;
}

/**
 * Edge of a patch, mm: an arch is a cubic over it within some micrometres, on a violin as on a bass, and noise that is alike over a quarter of it is still told from shape.
 */
export const PATCH = 18;
/** Points a patch: enough for the correlation at one lag from all patches to 1 %, and pairs stay few. */
const WANTED = 100;
const MOST = 120;
const FEWEST = 50;
/** Patches looked at, spread evenly over the body. */
const MOST_PATCHES = 110;
/** Cosine of the angle to the mean normal beyond which a point lies on another surface: arches turn by 25° within a patch at the most. */
const SAME_FACE = 0.88;
/** Points beyond this many robust deviations are other things; patches that lose more than this share are not smooth. */
const TRIM = 4;
const MOST_TRIMMED = 0.08;
/** Patches whose spread exceeds that of the quieter third by more than this factor hold an edge, purfling, a label: the spread itself is known to 7 %, once outliers are gone. */
const QUIET = 1 / 3;
const ROUGH = 1.2;
/** RMS of the coordinates in a patch, in its edge: 0.29 where points fill it; in coarse scans only rims and wires hold many points. */
const FILLED = 0.17;
/** Share of the body's length at either end that has edges, neck and saddle rather than smooth faces. */
const ENDS = 0.04;

/**
 * Smooth pieces of top, back and ribs with their residuals to a local cubic surface. Looks at a random part of the points, so a scan of a million points costs little more than one of
 * fifty thousand.
 */
export function noisePatches(cloud: Cloud, bodyLength: number): NoisePatch[] {
  const cells = membersByCell(cloud, bodyLength, PATCH).filter((ids) => ids.length >= FEWEST);
  const every = Math.max(1, Math.ceil(cells.length / MOST_PATCHES));
  const patches = cells.filter((_, k) => k % every === 0).flatMap((ids) => patchOf(cloud, ids) ?? []);
  if (patches.length === 0) return [];
  const spreads = patches.map((p) => p.spread).sort((a, b) => a - b);
  const quiet = spreads[Math.floor(QUIET * spreads.length)];
  return patches.filter((p) => p.spread <= ROUGH * quiet);
}

/** Points of the body by cubes of `edge`: a random part of all, so many that a cube that the surface crosses holds about as many as wanted. */
function membersByCell(cloud: Cloud, bodyLength: number, edge: number): number[][] {
  const { positions: p, areas, count } = cloud;
  let area = 0;
  for (let i = 0; i < count; i++) area += areas[i];
  const share = Math.min(1, (WANTED * area) / (edge * edge) / Math.max(1, count));
  const limit = share * 2 ** 32;
  const cells = new Map<number, number[]>();
  const [from, to] = [ENDS * bodyLength, (1 - ENDS) * bodyLength];
  for (let i = 0; i < count; i++) {
    // A multiplicative hash: neighbours in the file, which are neighbours in the scan, are kept or not independently of each other.
    if (Math.imul(i ^ (i >>> 15), 0x9e3779b1) >>> 0 > limit) continue;
    const x = p[3 * i];
    if (!(x > from && x < to)) continue;
    const key = (Math.floor(x / edge) * STRIDE + Math.floor(p[3 * i + 1] / edge)) * STRIDE + Math.floor(p[3 * i + 2] / edge);
    const members = cells.get(key);
    if (members === undefined) cells.set(key, [i]);
    else members.push(i);
  }
  return [...cells.keys()].sort((a, b) => a - b).map((key) => cells.get(key) as number[]);
}

/** Cells along y and z at most. */
const STRIDE = 1024;

function patchOf(cloud: Cloud, all: readonly number[]): NoisePatch | undefined {
  const normal = meanNormal(cloud, all);
  const n = cloud.normals;
  const facing = all.filter((i) => Math.abs(normal[0] * n[3 * i] + normal[1] * n[3 * i + 1] + normal[2] * n[3 * i + 2]) > SAME_FACE);
  const every = Math.ceil(facing.length / MOST);
  let ids = facing.filter((_, k) => k % every === 0);
  for (let round = 0; ids.length >= FEWEST; round++) {
    const { u, v, w } = inOwnPlane(cloud, ids, normal);
    const basis = Math.min(rms(u), rms(v)) < FILLED * PATCH ? undefined : orthonormalCubic(u, v);
    if (basis === undefined) return undefined;
    const residual = basis.residual(w);
    const spread = mad(residual);
    const kept = ids.filter((_, k) => Math.abs(residual[k]) <= TRIM * spread);
    if (kept.length === ids.length)
      return spread > 0 ? { count: ids.length, u, v, residual, basis: basis.columns, spread: rms(residual) } : undefined;
    if (round === 3 || kept.length < (1 - MOST_TRIMMED) * ids.length) return undefined;
    ids = kept;
  }
  return undefined;
}

function meanNormal({ normals: n }: Cloud, ids: readonly number[]): readonly [number, number, number] {
  const [a, b, c] = [3 * ids[0], 3 * ids[0] + 1, 3 * ids[0] + 2];
  let [x, y, z] = [0, 0, 0];
  for (const i of ids) {
    const s = n[a] * n[3 * i] + n[b] * n[3 * i + 1] + n[c] * n[3 * i + 2] < 0 ? -1 : 1;
    x += s * n[3 * i];
    y += s * n[3 * i + 1];
    z += s * n[3 * i + 2];
  }
  const l = Math.hypot(x, y, z) || 1;
  return [x / l, y / l, z / l];
}

/** Coordinates along two directions across the normal and along it, about the mean. */
function inOwnPlane({ positions: p }: Cloud, ids: readonly number[], normal: readonly [number, number, number]) {
  const [nx, ny, nz] = normal;
  // The axis least along the normal gives the first direction.
  const least = Math.abs(nx) < Math.abs(ny) ? (Math.abs(nx) < Math.abs(nz) ? 0 : 2) : Math.abs(ny) < Math.abs(nz) ? 1 : 2;
  const a = [0, 1, 2].map((k) => (k === least ? 1 : 0) - normal[least] * normal[k]);
  const l = Math.hypot(a[0], a[1], a[2]);
  const [ax, ay, az] = [a[0] / l, a[1] / l, a[2] / l];
  const [bx, by, bz] = [ny * az - nz * ay, nz * ax - nx * az, nx * ay - ny * ax];
  const mean = [0, 0, 0];
  for (const i of ids) for (let k = 0; k < 3; k++) mean[k] += p[3 * i + k] / ids.length;
  const u = new Float64Array(ids.length);
  const v = new Float64Array(ids.length);
  const w = new Float64Array(ids.length);
  ids.forEach((i, k) => {
    const [x, y, z] = [p[3 * i] - mean[0], p[3 * i + 1] - mean[1], p[3 * i + 2] - mean[2]];
    u[k] = ax * x + ay * y + az * z;
    v[k] = bx * x + by * y + bz * z;
    w[k] = nx * x + ny * y + nz * z;
  });
  return { u, v, w };
}
