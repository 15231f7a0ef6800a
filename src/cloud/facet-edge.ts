import type { Scan } from '../geometry/scan.ts';
import { symmetricEigen } from '../numerics/symmetric-eigen.ts';
import { gridOfPoints } from './point-grid.ts';
import { medianSpacing } from './median-spacing.ts';

/** Facets or points looked at. */
const LOOKED_AT = 600;

/** Median edge of a mesh's facets, scan's unit; for a point cloud the edge of the facets it was sampled from, if its points lie on any; 0 for raw points. */
export function facetEdge(scan: Scan): number {
  return scan.triangles === undefined ? sampledFacets(scan.positions) : meanEdge(scan.positions, scan.triangles);
}

function meanEdge(p: Float32Array, triangles: Uint32Array): number {
  const edges: number[] = [];
  const step = 3 * Math.max(1, Math.floor(triangles.length / 3 / LOOKED_AT));
  for (let t = 0; t + 2 < triangles.length; t += step) {
    const [a, b] = [3 * triangles[t], 3 * triangles[t + 1]];
    edges.push(Math.hypot(p[a] - p[b], p[a + 1] - p[b + 1], p[a + 2] - p[b + 2]));
  }
  edges.sort((x, y) => x - y);
  return edges[edges.length >> 1] ?? 0;
}

/** Radius of the neighbourhoods, in spacings. */
const RADIUS = 2.2;
/** A neighbourhood lies on one facet when its points leave their plane by less than this, in spacings: curved surfaces and noise leave it by ten times more. */
const FLAT = 2e-3;
/** Share of flat neighbourhoods below which points do not lie on facets: a raw scan has none, but for chance. */
const LEAST_SHARE = 0.03;
/** Distance of a triangle's middle from its sides, in edges. */
const INRADIUS = 0.2887;

/**
 * Of points spread over triangles of edge e, the share (1 − r ÷ 0.289 e)² lies farther than r from every side: that share of neighbourhoods is exactly flat, and gives e.
 */
function sampledFacets(p: Float32Array): number {
  const n = p.length / 3;
  const spacing = medianSpacing(p);
  if (!(spacing > 0)) return 0;
  const radius = RADIUS * spacing;
  const grid = gridOfPoints(p, radius);
  const step = Math.max(1, Math.floor(n / LOOKED_AT));
  let seen = 0;
  let flat = 0;
  for (let i = 0; i < n; i += step) {
    const off = leavesPlane(p, grid, i, radius);
    if (off === undefined) continue;
    seen++;
    if (off < FLAT * spacing) flat++;
  }
  const share = flat / Math.max(1, seen);
  return share < LEAST_SHARE ? 0 : radius / (INRADIUS * Math.max(0.1, 1 - Math.sqrt(share)));
}

/** RMS distance of a neighbourhood from its own plane. */
function leavesPlane(p: Float32Array, grid: ReturnType<typeof gridOfPoints>, i: number, radius: number): number | undefined {
  const { cell, min, size, starts, order } = grid;
  const ids: number[] = [];
  const c = [0, 1, 2].map((k) => Math.floor((p[3 * i + k] - min[k]) / cell));
  for (let z = Math.max(0, c[2] - 1); z <= Math.min(size[2] - 1, c[2] + 1); z++)
    for (let y = Math.max(0, c[1] - 1); y <= Math.min(size[1] - 1, c[1] + 1); y++)
      for (let x = Math.max(0, c[0] - 1); x <= Math.min(size[0] - 1, c[0] + 1); x++) {
        const at = (z * size[1] + y) * size[0] + x;
        for (let s = starts[at]; s < starts[at + 1]; s++) {
          const j = order[s];
          if (Math.hypot(p[3 * j] - p[3 * i], p[3 * j + 1] - p[3 * i + 1], p[3 * j + 2] - p[3 * i + 2]) <= radius) ids.push(j);
        }
      }
  if (ids.length < 6) return undefined;
  const mean = [0, 1, 2].map((k) => ids.reduce((s, j) => s + p[3 * j + k], 0) / ids.length);
  const scatter = new Float64Array(9);
  for (const j of ids)
    for (let a = 0; a < 3; a++) for (let b = a; b < 3; b++) scatter[3 * a + b] += (p[3 * j + a] - mean[a]) * (p[3 * j + b] - mean[b]);
  return Math.sqrt(Math.max(0, symmetricEigen(scatter, 3).values[0]) / ids.length);
}
