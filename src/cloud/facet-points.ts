import type { Cloud } from '../geometry/cloud.ts';

/**
 * Points spread evenly over the facets of a coarse mesh, with normals interpolated from its vertices: lets the search see a surface where vertices alone are
 * too few. They lie on the facets, not on the instrument: what the facets cut off is an uncertainty of its own (`facetEdge`).
 *
 * @param vertices  the mesh's vertices with normals
 * @param triangles  3m indices
 * @param spacing  wanted distance of points, mesh's unit
 */
export function facetPoints(vertices: Cloud, triangles: Uint32Array, spacing: number): Cloud {
  const positions: number[] = [];
  const normals: number[] = [];
  const areas: number[] = [];
  const { positions: p, normals: n } = vertices;
  for (let t = 0; t < triangles.length; t += 3) {
    const corners = [3 * triangles[t], 3 * triangles[t + 1], 3 * triangles[t + 2]];
    const area = triangleArea(p, corners);
    const steps = Math.max(1, Math.ceil(Math.sqrt(2 * area) / spacing));
    const share = area / (steps * steps);
    for (let i = 0; i < steps; i++) {
      for (let j = 0; j < 2 * (steps - i) - 1; j++) {
        // Centres of the steps² small triangles that a facet is cut into: upright ones at even j, inverted ones between them.
        const third = j % 2 === 0 ? 1 / 3 : 2 / 3;
        const a = (i + third) / steps;
        const b = ((j >> 1) + third) / steps;
        const weights = [1 - a - b, a, b];
        pushMixed(positions, p, corners, weights);
        pushMixed(normals, n, corners, weights);
        areas.push(share);
      }
    }
  }
  return {
    count: areas.length,
    positions: Float32Array.from(positions),
    normals: unitNormals(normals),
    areas: Float32Array.from(areas),
    oriented: vertices.oriented,
  };
}

function pushMixed(out: number[], v: Float32Array, corners: readonly number[], w: readonly number[]): void {
  for (let k = 0; k < 3; k++) out.push(w[0] * v[corners[0] + k] + w[1] * v[corners[1] + k] + w[2] * v[corners[2] + k]);
}

function triangleArea(p: Float32Array, [a, b, c]: readonly number[]): number {
  const u = [0, 1, 2].map((k) => p[b + k] - p[a + k]);
  const v = [0, 1, 2].map((k) => p[c + k] - p[a + k]);
  return Math.hypot(u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]) / 2;
}

function unitNormals(n: readonly number[]): Float32Array {
  const out = new Float32Array(n.length);
  for (let i = 0; i < n.length; i += 3) {
    const l = Math.hypot(n[i], n[i + 1], n[i + 2]) || 1;
    for (let k = 0; k < 3; k++) out[i + k] = n[i + k] / l;
  }
  return out;
}
