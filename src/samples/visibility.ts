import type { SurfaceMesh } from './surface-mesh.ts';

export type Direction = readonly [number, number, number];

/** A scanner does not see a surface flatter to its view than this (cosine): 78°. */
const GRAZING = 0.2;
/** Width of a depth buffer's cell, as a share of the occluder's spacing. */
const CELL = 0.7;

/**
 * Which points a scanner sees that looks from `directions` (towards the scanner), by depth buffers of the `occluder`.
 *
 * @param normals  3n unit normals of the points
 * @param slack  how far behind the occluder's surface a point may lie, mm (the occluder is a coarser mesh of the same surface)
 */
export function visiblePoints(
  points: ArrayLike<number>,
  normals: ArrayLike<number>,
  occluder: SurfaceMesh,
  directions: readonly Direction[],
  spacing: number,
  slack: number,
): Uint8Array {
  const n = points.length / 3;
  const seen = new Uint8Array(n);
  for (const d of directions) {
    const view = depthBuffer(occluder, d, CELL * spacing);
    const { e1, e2 } = view;
    for (let i = 0; i < n; i++) {
      if (seen[i]) continue;
      const c = normals[3 * i] * d[0] + normals[3 * i + 1] * d[1] + normals[3 * i + 2] * d[2];
      if (c < GRAZING) continue;
      const x = points[3 * i];
      const y = points[3 * i + 1];
      const z = points[3 * i + 2];
      const u = (x * e1[0] + y * e1[1] + z * e1[2] - view.u0) / view.cell;
      const v = (x * e2[0] + y * e2[1] + z * e2[2] - view.v0) / view.cell;
      const a = Math.min(view.width - 1, Math.max(0, Math.round(u)));
      const b = Math.min(view.height - 1, Math.max(0, Math.round(v)));
      // Depth of the point's own tangent plane at the middle of its cell.
      const nu = normals[3 * i] * e1[0] + normals[3 * i + 1] * e1[1] + normals[3 * i + 2] * e1[2];
      const nv = normals[3 * i] * e2[0] + normals[3 * i + 1] * e2[1] + normals[3 * i + 2] * e2[2];
      const w = x * d[0] + y * d[1] + z * d[2] - ((a - u) * nu + (b - v) * nv) * (view.cell / c);
      if (w >= view.depth[b * view.width + a] - slack) seen[i] = 1;
    }
  }
  return seen;
}

interface DepthBuffer {
  readonly e1: Direction;
  readonly e2: Direction;
  readonly u0: number;
  readonly v0: number;
  readonly cell: number;
  readonly width: number;
  readonly height: number;
  readonly depth: Float32Array;
}

/** Depth along `d` of the surface nearest to the viewer, in cells. */
function depthBuffer(mesh: SurfaceMesh, d: Direction, cell: number): DepthBuffer {
  const h = Math.hypot(d[0], d[1]);
  const e1: Direction = h > 1e-6 ? [-d[1] / h, d[0] / h, 0] : [1, 0, 0];
  const e2: Direction = [d[1] * e1[2] - d[2] * e1[1], d[2] * e1[0] - d[0] * e1[2], d[0] * e1[1] - d[1] * e1[0]];
  const n = mesh.labels.length;
  const u = new Float64Array(n);
  const v = new Float64Array(n);
  const w = new Float64Array(n);
  let [uMin, uMax, vMin, vMax] = [Infinity, -Infinity, Infinity, -Infinity];
  for (let i = 0; i < n; i++) {
    const x = mesh.positions[3 * i];
    const y = mesh.positions[3 * i + 1];
    const z = mesh.positions[3 * i + 2];
    u[i] = x * e1[0] + y * e1[1] + z * e1[2];
    v[i] = x * e2[0] + y * e2[1] + z * e2[2];
    w[i] = x * d[0] + y * d[1] + z * d[2];
    if (u[i] < uMin) uMin = u[i];
    if (u[i] > uMax) uMax = u[i];
    if (v[i] < vMin) vMin = v[i];
    if (v[i] > vMax) vMax = v[i];
  }
  const width = Math.ceil((uMax - uMin) / cell) + 1;
  const height = Math.ceil((vMax - vMin) / cell) + 1;
  const depth = new Float32Array(width * height).fill(-Infinity);
  const { triangles } = mesh;
  for (let t = 0; t < triangles.length; t += 3) {
    const a = triangles[t];
    const b = triangles[t + 1];
    const c = triangles[t + 2];
    const x0 = (u[a] - uMin) / cell;
    const y0 = (v[a] - vMin) / cell;
    const x1 = (u[b] - uMin) / cell;
    const y1 = (v[b] - vMin) / cell;
    const x2 = (u[c] - uMin) / cell;
    const y2 = (v[c] - vMin) / cell;
    const area = (x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0);
    if (area === 0) continue;
    const left = Math.ceil(Math.min(x0, x1, x2));
    const right = Math.floor(Math.max(x0, x1, x2));
    const low = Math.ceil(Math.min(y0, y1, y2));
    const high = Math.floor(Math.max(y0, y1, y2));
    for (let py = low; py <= high; py++) {
      for (let px = left; px <= right; px++) {
        const s = ((x1 - px) * (y2 - py) - (x2 - px) * (y1 - py)) / area;
        const r = ((x2 - px) * (y0 - py) - (x0 - px) * (y2 - py)) / area;
        const q = 1 - s - r;
        if (s < 0 || r < 0 || q < 0) continue;
        const z = s * w[a] + r * w[b] + q * w[c];
        const k = py * width + px;
        if (z > depth[k]) depth[k] = z;
      }
    }
  }
  return { e1, e2, u0: uMin, v0: vMin, cell, width, height, depth };
}
