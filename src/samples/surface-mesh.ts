import type { PART } from './part.ts';

export type Label = (typeof PART)[keyof typeof PART];

/** A noise-free piece of surface as triangles. Facets run anticlockwise seen from outside. */
export interface SurfaceMesh {
  /** 3n coordinates, mm. */
  readonly positions: Float64Array;
  /** 3m indices. */
  readonly triangles: Uint32Array;
  /** One part label a point. */
  readonly labels: Uint8Array;
}

/** A point into `out[0..2]` for the parameters of row i and column j. */
export type GridPoint = (i: number, j: number, out: Float64Array) => void;

/**
 * Triangles over a grid of `rows` × `columns` points. Facets face towards (along rows) × (along columns).
 *
 * @param label  one label, or the label of row i and column j
 */
export function gridMesh(rows: number, columns: number, point: GridPoint, label: Label | ((i: number, j: number) => Label)): SurfaceMesh {
  const positions = new Float64Array(3 * rows * columns);
  const labels = new Uint8Array(rows * columns);
  const out = new Float64Array(3);
  for (let i = 0, k = 0; i < rows; i++) {
    for (let j = 0; j < columns; j++, k++) {
      point(i, j, out);
      positions.set(out, 3 * k);
      labels[k] = typeof label === 'number' ? label : label(i, j);
    }
  }
  const triangles = new Uint32Array(6 * (rows - 1) * (columns - 1));
  for (let i = 0, t = 0; i + 1 < rows; i++) {
    for (let j = 0; j + 1 < columns; j++, t += 6) {
      const a = i * columns + j;
      const b = a + columns;
      // The diagonal alternates, so that no direction of the grid is favoured.
      if ((i + j) % 2 === 0) triangles.set([a, b, b + 1, a, b + 1, a + 1], t);
      else triangles.set([a, b, a + 1, b, b + 1, a + 1], t);
    }
  }
  return { positions, triangles, labels };
}

/** The same surface seen from its other side. */
export function flipped(mesh: SurfaceMesh): SurfaceMesh {
  const triangles = mesh.triangles.slice();
  for (let t = 0; t < triangles.length; t += 3) {
    const k = triangles[t];
    triangles[t] = triangles[t + 1];
    triangles[t + 1] = k;
  }
  return { ...mesh, triangles };
}

/** All pieces in one; their points stay apart. */
export function joinMeshes(pieces: readonly SurfaceMesh[]): SurfaceMesh {
  let points = 0;
  let corners = 0;
  for (const p of pieces) {
    points += p.labels.length;
    corners += p.triangles.length;
  }
  const positions = new Float64Array(3 * points);
  const labels = new Uint8Array(points);
  const triangles = new Uint32Array(corners);
  let n = 0;
  let t = 0;
  for (const p of pieces) {
    positions.set(p.positions, 3 * n);
    labels.set(p.labels, n);
    for (let k = 0; k < p.triangles.length; k++) triangles[t + k] = p.triangles[k] + n;
    n += p.labels.length;
    t += p.triangles.length;
  }
  return { positions, triangles, labels };
}

/** Moves every point by `move` (in place of a copy of the coordinates). */
export function movedMesh(mesh: SurfaceMesh, move: (p: Float64Array) => void): SurfaceMesh {
  const positions = mesh.positions.slice();
  const p = new Float64Array(3);
  for (let i = 0; i < positions.length; i += 3) {
    p[0] = positions[i];
    p[1] = positions[i + 1];
    p[2] = positions[i + 2];
    move(p);
    positions.set(p, i);
  }
  return { ...mesh, positions };
}

/** Unit normals at the points, weighted by facet area; zero where no facet meets. */
export function pointNormals(mesh: Pick<SurfaceMesh, 'positions' | 'triangles'>): Float64Array {
  const { positions: p, triangles } = mesh;
  const normals = new Float64Array(p.length);
  for (let t = 0; t < triangles.length; t += 3) {
    const a = 3 * triangles[t];
    const b = 3 * triangles[t + 1];
    const c = 3 * triangles[t + 2];
    const ux = p[b] - p[a];
    const uy = p[b + 1] - p[a + 1];
    const uz = p[b + 2] - p[a + 2];
    const vx = p[c] - p[a];
    const vy = p[c + 1] - p[a + 1];
    const vz = p[c + 2] - p[a + 2];
    const nx = uy * vz - uz * vy;
    const ny = uz * vx - ux * vz;
    const nz = ux * vy - uy * vx;
    for (let k = 0; k < 3; k++) {
      const v = 3 * triangles[t + k];
      normals[v] += nx;
      normals[v + 1] += ny;
      normals[v + 2] += nz;
    }
  }
  for (let i = 0; i < normals.length; i += 3) {
    const length = Math.hypot(normals[i], normals[i + 1], normals[i + 2]);
    if (length === 0) continue;
    normals[i] /= length;
    normals[i + 1] /= length;
    normals[i + 2] /= length;
  }
  return normals;
}
