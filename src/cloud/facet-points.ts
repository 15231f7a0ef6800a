import type { Cloud } from '../geometry/cloud.ts';

/** Corner normals within 30° of the facet's own belong to one smooth surface, on which points are put; others mark an edge, beside which the facet is taken as flat. */
const SMOOTH = Math.cos(Math.PI / 6);
/**
 * Half-way between the facet and the mean of its corners' tangent planes lies the surface: exactly for any quadric, since the facet errs by as much inwards as
 * the tangent planes do outwards (with another factor: Boubekeur and Alexa, Phong tessellation, 2008).
 */
const CURVED = 0.5;
/** Square of an equilateral triangle's edge in its areas: 4 ÷ √3. */
const AREA_OF_EDGE = 4 / Math.sqrt(3);

/**
 * A mesh's vertices, and in place of the share of its large facets points spread evenly over them, so that a surface is seen where vertices alone are few: coarse
 * meshes, and fine ones that were thinned where they are flat.
 *
 * @param vertices  the mesh's vertices with normals; their areas come from the small facets alone, and those without any are left out
 * @param triangles  3m indices
 * @param large  indices of the large facets
 * @param spacing  wanted distance of points, mesh's unit
 */
export function withFacetPoints(vertices: Cloud, triangles: Uint32Array, large: readonly number[], spacing: number): Cloud {
  const out: PointLists = { positions: [], normals: [], areas: [] };
  for (let i = 0; i < vertices.count; i++) {
    if (!(vertices.areas[i] > 0)) continue;
    for (let k = 0; k < 3; k++) {
      out.positions.push(vertices.positions[3 * i + k]);
      out.normals.push(vertices.normals[3 * i + k]);
    }
    out.areas.push(vertices.areas[i]);
  }
  const small = out.areas.reduce((sum, area) => sum + area, 0);
  let covered = 0;
  for (const t of large)
    covered += coverFacet(out, vertices, [3 * triangles[3 * t], 3 * triangles[3 * t + 1], 3 * triangles[3 * t + 2]], spacing);
  const total = covered + small;
  return {
    count: out.areas.length,
    positions: Float32Array.from(out.positions),
    normals: Float32Array.from(out.normals),
    areas: Float32Array.from(out.areas),
    oriented: vertices.oriented,
    largeFacets: { share: covered / total, edge: Math.sqrt((AREA_OF_EDGE * covered) / large.length) },
  };
}

interface PointLists {
  readonly positions: number[];
  readonly normals: number[];
  readonly areas: number[];
}

type Corners = readonly [number, number, number];

/**
 * Centres of the steps² small triangles that a facet is cut into: upright ones at even j, inverted ones between them.
 *
 * @returns the facet's area
 */
function coverFacet(out: PointLists, vertices: Cloud, corners: Corners, spacing: number): number {
  const { positions: p, normals: n } = vertices;
  const own = facetNormal(p, corners);
  const area = Math.hypot(...own) / 2;
  for (let k = 0; k < 3; k++) own[k] /= 2 * area;
  const smooth = corners.every((c) => n[c] * own[0] + n[c + 1] * own[1] + n[c + 2] * own[2] > SMOOTH);
  const steps = Math.max(1, Math.round(Math.sqrt(area) / spacing));
  for (let i = 0; i < steps; i++) {
    for (let j = 0; j < 2 * (steps - i) - 1; j++) {
      const third = j % 2 === 0 ? 1 / 3 : 2 / 3;
      const a = (i + third) / steps;
      const b = ((j >> 1) + third) / steps;
      const weights = [1 - a - b, a, b];
      const at = mixed(p, corners, weights);
      const normal = smooth ? unit(mixed(n, corners, weights)) : own;
      out.positions.push(...(smooth ? ontoSurface(at, p, n, corners, weights) : at));
      out.normals.push(...normal);
      out.areas.push(area / (steps * steps));
    }
  }
  return area;
}

function ontoSurface(at: readonly number[], p: Float32Array, n: Float32Array, corners: Corners, weights: readonly number[]): number[] {
  const moved = [...at];
  corners.forEach((c, q) => {
    const below = (p[c] - at[0]) * n[c] + (p[c + 1] - at[1]) * n[c + 1] + (p[c + 2] - at[2]) * n[c + 2];
    for (let k = 0; k < 3; k++) moved[k] += CURVED * weights[q] * below * n[c + k];
  });
  return moved;
}

const mixed = (v: Float32Array, corners: Corners, w: readonly number[]): number[] =>
  [0, 1, 2].map((k) => w[0] * v[corners[0] + k] + w[1] * v[corners[1] + k] + w[2] * v[corners[2] + k]);

function facetNormal(p: Float32Array, [a, b, c]: Corners): number[] {
  const u = [0, 1, 2].map((k) => p[b + k] - p[a + k]);
  const v = [0, 1, 2].map((k) => p[c + k] - p[a + k]);
  return [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
}

function unit(v: readonly number[]): number[] {
  const l = Math.hypot(...v) || 1;
  return v.map((c) => c / l);
}
