import type { Cloud } from '../geometry/cloud.ts';
import { gridOfPoints, type PointGrid } from './point-grid.ts';
import { medianSpacing } from './median-spacing.ts';

/** Radius of a neighbourhood in units of the spacing: about 20 neighbours on a surface, enough for a plane, small against an edge. */
const RADIUS = 2.6;
/** Widened by this, up to `WIDENINGS` times, where fewer than `FEWEST` neighbours are found (uneven density). */
const WIDEN = 1.7;
const WIDENINGS = 3;
const FEWEST = 6;
/** Points about a cell that are looked at, at most: dense stretches need no more, every k-th then stands for k. */
const MOST_NEAR = 240;

/**
 * Normals (sign unknown) and areas of bare points: the direction of least spread of each point's neighbours (Hoppe et al. 1992), and the
 * area of the neighbourhood's disc over its number of points. A point without neighbours has area 0: it stands for no surface.
 *
 * @param positions  3n coordinates
 */
export function estimateNormals(positions: Float32Array): Cloud {
  const count = positions.length / 3;
  const normals = new Float32Array(positions.length);
  const areas = new Float32Array(count);
  const radius = RADIUS * medianSpacing(positions);
  if (radius > 0) fill(positions, radius, normals, areas);
  for (let i = 0; i < count; i++) if (areas[i] === 0) normals[3 * i + 2] = 1;
  return { count, positions, normals, areas, oriented: false };
}

/** Cell by cell: the points about a cell are brought together once for all points in it. */
function fill(positions: Float32Array, radius: number, normals: Float32Array, areas: Float32Array): void {
  const grid = gridOfPoints(positions, radius);
  const { size, starts, order } = grid;
  const near: Near = { xyz: new Float64Array(3 * MOST_NEAR), count: 0, every: 1 };
  const sums = new Float64Array(9);
  const normal = new Float64Array(3);
  for (let cell = 0; cell + 1 < starts.length; cell++) {
    if (starts[cell] === starts[cell + 1]) continue;
    gather(positions, grid, cell % size[0], Math.floor(cell / size[0]) % size[1], Math.floor(cell / (size[0] * size[1])), 1, near);
    for (let s = starts[cell]; s < starts[cell + 1]; s++) {
      const i = order[s];
      let reach = radius;
      let n = sumsWithin(positions, i, reach, near, sums);
      let every = near.every;
      for (let k = 1; n < FEWEST && k <= WIDENINGS; k++) {
        reach *= WIDEN;
        const wide: Near = { xyz: new Float64Array(3 * MOST_NEAR), count: 0, every: 1 };
        gather(
          positions,
          grid,
          cell % size[0],
          Math.floor(cell / size[0]) % size[1],
          Math.floor(cell / (size[0] * size[1])),
          Math.ceil(reach / grid.cell),
          wide,
        );
        n = sumsWithin(positions, i, reach, wide, sums);
        every = wide.every;
      }
      if (n < LEAST) continue;
      leastSpread(sums, n, normal);
      normals.set(normal, 3 * i);
      areas[i] = (Math.PI * reach * reach) / (n * every);
    }
  }
}

/** Points that span a plane with one to spare. */
const LEAST = 4;

/** Coordinates of points one after the other in memory; each stands for `every` points. */
interface Near {
  xyz: Float64Array;
  count: number;
  every: number;
}

/** Brings together the points of the cells within `rings` of a cell. */
function gather(p: Float32Array, grid: PointGrid, cx: number, cy: number, cz: number, rings: number, near: Near): void {
  const { size, starts, order } = grid;
  const x0 = Math.max(0, cx - rings);
  const x1 = Math.min(size[0] - 1, cx + rings);
  const y0 = Math.max(0, cy - rings);
  const y1 = Math.min(size[1] - 1, cy + rings);
  const z0 = Math.max(0, cz - rings);
  const z1 = Math.min(size[2] - 1, cz + rings);
  let total = 0;
  for (let z = z0; z <= z1; z++) {
    for (let y = y0; y <= y1; y++) total += starts[(z * size[1] + y) * size[0] + x1 + 1] - starts[(z * size[1] + y) * size[0] + x0];
  }
  near.every = Math.ceil(total / MOST_NEAR);
  let at = 0;
  let seen = 0;
  for (let z = z0; z <= z1; z++) {
    for (let y = y0; y <= y1; y++) {
      const row = (z * size[1] + y) * size[0];
      const end = starts[row + x1 + 1];
      for (let s = starts[row + x0]; s < end; s++) {
        if (seen++ % near.every !== 0) continue;
        const i = 3 * order[s];
        near.xyz[at] = p[i];
        near.xyz[at + 1] = p[i + 1];
        near.xyz[at + 2] = p[i + 2];
        at += 3;
      }
    }
  }
  near.count = at / 3;
}

/** Sums of the offsets from point i and of their products (x, y, z, xx, xy, xz, yy, yz, zz) over the points within `reach`; returns how many. */
function sumsWithin(p: Float32Array, i: number, reach: number, near: Near, sums: Float64Array): number {
  const px = p[3 * i];
  const py = p[3 * i + 1];
  const pz = p[3 * i + 2];
  const r2 = reach * reach;
  const q = near.xyz;
  const end = 3 * near.count;
  let [n, x, y, z, xx, xy, xz, yy, yz, zz] = [0, 0, 0, 0, 0, 0, 0, 0, 0, 0];
  for (let k = 0; k < end; k += 3) {
    const dx = q[k] - px;
    const dy = q[k + 1] - py;
    const dz = q[k + 2] - pz;
    if (dx * dx + dy * dy + dz * dz > r2) continue;
    n++;
    x += dx;
    y += dy;
    z += dz;
    xx += dx * dx;
    xy += dx * dy;
    xz += dx * dz;
    yy += dy * dy;
    yz += dy * dz;
    zz += dz * dz;
  }
  sums[0] = x;
  sums[1] = y;
  sums[2] = z;
  sums[3] = xx;
  sums[4] = xy;
  sums[5] = xz;
  sums[6] = yy;
  sums[7] = yz;
  sums[8] = zz;
  return n;
}

/** Eigenvector of the least eigenvalue of the neighbours' scatter, in closed form. */
function leastSpread(sums: Float64Array, n: number, out: Float64Array): void {
  const [x, y, z] = [sums[0], sums[1], sums[2]];
  const xx = sums[3] - (x * x) / n;
  const xy = sums[4] - (x * y) / n;
  const xz = sums[5] - (x * z) / n;
  const yy = sums[6] - (y * y) / n;
  const yz = sums[7] - (y * z) / n;
  const zz = sums[8] - (z * z) / n;
  const l = leastEigenvalue(xx, xy, xz, yy, yz, zz);
  // Rows of (S − l I) are at right angles to the eigenvector: the longest cross product of two of them points along it.
  const a = xx - l;
  const b = yy - l;
  const c = zz - l;
  longest(out, xy * yz - xz * b, xz * xy - a * yz, a * b - xy * xy, 0);
  longest(out, xy * c - xz * yz, xz * xz - a * c, a * yz - xy * xz, squared(out));
  longest(out, b * c - yz * yz, yz * xz - xy * c, xy * yz - b * xz, squared(out));
  const size = Math.sqrt(squared(out));
  if (size > 0) for (let k = 0; k < 3; k++) out[k] /= size;
  else out[2] = 1;
}

const squared = (v: Float64Array): number => v[0] * v[0] + v[1] * v[1] + v[2] * v[2];

/** Puts a vector into `out` unless its square is below `least`. */
function longest(out: Float64Array, x: number, y: number, z: number, least: number): void {
  if (x * x + y * y + z * z < least) return;
  out[0] = x;
  out[1] = y;
  out[2] = z;
}

/** Least eigenvalue of a symmetric 3 × 3 matrix by the trigonometric solution of its characteristic cubic. */
function leastEigenvalue(xx: number, xy: number, xz: number, yy: number, yz: number, zz: number): number {
  const m = (xx + yy + zz) / 3;
  const a = xx - m;
  const b = yy - m;
  const c = zz - m;
  const p = Math.sqrt((a * a + b * b + c * c + 2 * (xy * xy + xz * xz + yz * yz)) / 6);
  if (p === 0) return m;
  const det = a * (b * c - yz * yz) - xy * (xy * c - yz * xz) + xz * (xy * yz - b * xz);
  const r = Math.min(1, Math.max(-1, det / (2 * p * p * p)));
  return m + 2 * p * Math.cos(Math.acos(r) / 3 + (2 * Math.PI) / 3);
}
