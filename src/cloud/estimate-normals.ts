import type { Cloud } from '../geometry/cloud.ts';
import { gridOfPoints, type PointGrid } from './point-grid.ts';
import { medianSpacing } from './median-spacing.ts';

/** Radius of a neighbourhood in units of the spacing: about 20 neighbours on a surface, enough for a plane, small against an edge. */
const RADIUS = 2.6;
/** Widened by this, up to `WIDENINGS` times, where fewer than `FEWEST` neighbours are found (uneven density). */
const WIDEN = 1.7;
const WIDENINGS = 3;
const FEWEST = 6;
/** Neighbours looked at, at most: dense stretches need no more. */
const MOST = 40;

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
  const spacing = medianSpacing(positions);
  const grid = gridOfPoints(positions, RADIUS * spacing);
  const found = new Uint32Array(MOST);
  const nearby = neighbourhood(positions, grid, found);
  const v = new Float64Array(3);
  for (let i = 0; i < count; i++) {
    let radius = RADIUS * spacing;
    let n = nearby(i, radius);
    for (let k = 0; n < FEWEST && k < WIDENINGS; k++) {
      radius *= WIDEN;
      n = nearby(i, radius);
    }
    if (n < 4) {
      normals[3 * i + 2] = 1;
      continue;
    }
    leastSpread(positions, found, Math.min(n, MOST), v);
    normals.set(v, 3 * i);
    areas[i] = (Math.PI * radius * radius) / n;
  }
  return { count, positions, normals, areas, oriented: false };
}

/** Fills `found` with up to `MOST` indices within `radius` of point i and returns how many there are in all. */
function neighbourhood(p: Float32Array, grid: PointGrid, found: Uint32Array) {
  const { cell, min, size, starts, order } = grid;
  const inverse = 1 / cell;
  return (i: number, radius: number): number => {
    const x = p[3 * i];
    const y = p[3 * i + 1];
    const z = p[3 * i + 2];
    const r2 = radius * radius;
    const x0 = Math.max(0, Math.floor((x - radius - min[0]) * inverse));
    const x1 = Math.min(size[0] - 1, Math.floor((x + radius - min[0]) * inverse));
    const y0 = Math.max(0, Math.floor((y - radius - min[1]) * inverse));
    const y1 = Math.min(size[1] - 1, Math.floor((y + radius - min[1]) * inverse));
    const z0 = Math.max(0, Math.floor((z - radius - min[2]) * inverse));
    const z1 = Math.min(size[2] - 1, Math.floor((z + radius - min[2]) * inverse));
    let n = 0;
    for (let cz = z0; cz <= z1; cz++) {
      for (let cy = y0; cy <= y1; cy++) {
        const row = (cz * size[1] + cy) * size[0];
        const end = starts[row + x1 + 1];
        for (let s = starts[row + x0]; s < end; s++) {
          const j = order[s];
          const dx = p[3 * j] - x;
          const dy = p[3 * j + 1] - y;
          const dz = p[3 * j + 2] - z;
          if (dx * dx + dy * dy + dz * dz > r2) continue;
          if (n < MOST) found[n] = j;
          n++;
        }
      }
    }
    return n;
  };
}

/** Eigenvector of the least eigenvalue of the neighbours' scatter, in closed form. */
function leastSpread(p: Float32Array, ids: Uint32Array, n: number, out: Float64Array): void {
  let mx = 0;
  let my = 0;
  let mz = 0;
  for (let k = 0; k < n; k++) {
    mx += p[3 * ids[k]];
    my += p[3 * ids[k] + 1];
    mz += p[3 * ids[k] + 2];
  }
  mx /= n;
  my /= n;
  mz /= n;
  let xx = 0;
  let xy = 0;
  let xz = 0;
  let yy = 0;
  let yz = 0;
  let zz = 0;
  for (let k = 0; k < n; k++) {
    const dx = p[3 * ids[k]] - mx;
    const dy = p[3 * ids[k] + 1] - my;
    const dz = p[3 * ids[k] + 2] - mz;
    xx += dx * dx;
    xy += dx * dy;
    xz += dx * dz;
    yy += dy * dy;
    yz += dy * dz;
    zz += dz * dz;
  }
  const l = leastEigenvalue(xx, xy, xz, yy, yz, zz);
  // Rows of (S − l I) are at right angles to the eigenvector: the longest cross product of two of them points along it.
  const a = xx - l;
  const b = yy - l;
  const c = zz - l;
  const u = [xy * yz - xz * b, xz * xy - a * yz, a * b - xy * xy];
  const w = [xy * c - xz * yz, xz * xz - a * c, a * yz - xy * xz];
  const t = [b * c - yz * yz, yz * xz - xy * c, xy * yz - b * xz];
  let best = u;
  let size = Math.hypot(u[0], u[1], u[2]);
  for (const candidate of [w, t]) {
    const s = Math.hypot(candidate[0], candidate[1], candidate[2]);
    if (s > size) {
      best = candidate;
      size = s;
    }
  }
  if (size > 0) for (let k = 0; k < 3; k++) out[k] = best[k] / size;
  else {
    out[0] = 0;
    out[1] = 0;
    out[2] = 1;
  }
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
