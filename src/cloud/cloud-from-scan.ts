import type { Cloud } from '../geometry/cloud.ts';
import type { Scan } from '../geometry/scan.ts';
import { estimateNormals } from './estimate-normals.ts';
import { withFacetPoints } from './facet-points.ts';

/**
 * The points of a scan with normals and areas, in the scan's own unit, relative to `scan.origin`. A mesh gives its vertices, each with the
 * area-weighted normal and a third of the area of its facets, and points on its large facets; a point cloud gets normals from its neighbourhoods.
 */
export function cloudFromScan(scan: Scan): Cloud {
  if (scan.triangles === undefined) return estimateNormals(scan.positions);
  const spacing = WANTED_SPACING * extent(scan.positions);
  const large: number[] = [];
  const vertices = meshVertices(scan.positions, scan.triangles, LARGE * spacing * spacing, large);
  return facingOut(large.length === 0 ? vertices : withFacetPoints(vertices, scan.triangles, large, spacing));
}

/**
 * Share of (p − centre) · n in |p − centre|, by area, that only a surface seen from outside reaches: closed bodies lie at ± 0.3 to 0.6, a lone curved sheet near 0,
 * where its facets tell nothing.
 */
const CLEARLY_INWARD = -0.15;

/** Normals of a mesh whose facets clearly face inwards are turned; it is then `insideOut`: turned facets, or a mirrored scan. */
function facingOut(cloud: Cloud): Cloud {
  if (!cloud.oriented) return cloud;
  const { positions: p, normals: n, areas, count } = cloud;
  const centre = [0, 0, 0];
  let total = 0;
  for (let i = 0; i < count; i++) {
    for (let k = 0; k < 3; k++) centre[k] += areas[i] * p[3 * i + k];
    total += areas[i];
  }
  for (let k = 0; k < 3; k++) centre[k] /= total || 1;
  let outward = 0;
  let reach = 0;
  for (let i = 0; i < count; i++) {
    const x = p[3 * i] - centre[0];
    const y = p[3 * i + 1] - centre[1];
    const z = p[3 * i + 2] - centre[2];
    outward += areas[i] * (x * n[3 * i] + y * n[3 * i + 1] + z * n[3 * i + 2]);
    reach += areas[i] * Math.sqrt(x * x + y * y + z * z);
  }
  return outward < CLEARLY_INWARD * reach ? { ...cloud, normals: n.map((v) => -v), insideOut: true } : cloud;
}

/** Spacing of points put on large facets, share of the scan's longest side: 1.5 mm on a violin. */
const WANTED_SPACING = 0.0025;
/** Area of a large facet in squares of that spacing: edges of 3 mm on a violin; below it the vertices suffice. */
const LARGE = 2;

function extent(p: Float32Array): number {
  let longest = 0;
  for (let k = 0; k < 3; k++) {
    let [min, max] = [Infinity, -Infinity];
    for (let i = k; i < p.length; i += 3) {
      min = Math.min(min, p[i]);
      max = Math.max(max, p[i]);
    }
    longest = Math.max(longest, max - min);
  }
  return longest;
}

/** @param large  takes the indices of facets above `limit` in area, which then count for no vertex */
function meshVertices(positions: Float32Array, triangles: Uint32Array, limit: number, large: number[]): Cloud {
  const count = positions.length / 3;
  const normals = new Float32Array(positions.length);
  const areas = new Float32Array(count);
  for (let t = 0; t < triangles.length; t += 3) {
    const a = 3 * triangles[t];
    const b = 3 * triangles[t + 1];
    const c = 3 * triangles[t + 2];
    const ax = positions[a];
    const ay = positions[a + 1];
    const az = positions[a + 2];
    const ux = positions[b] - ax;
    const uy = positions[b + 1] - ay;
    const uz = positions[b + 2] - az;
    const vx = positions[c] - ax;
    const vy = positions[c + 1] - ay;
    const vz = positions[c + 2] - az;
    const nx = uy * vz - uz * vy;
    const ny = uz * vx - ux * vz;
    const nz = ux * vy - uy * vx;
    let third = Math.sqrt(nx * nx + ny * ny + nz * nz) / 6;
    if (3 * third > limit) {
      large.push(t / 3);
      third = 0;
    }
    for (const i of [a, b, c]) {
      normals[i] += nx;
      normals[i + 1] += ny;
      normals[i + 2] += nz;
      areas[i / 3] += third;
    }
  }
  return { count, positions, normals: normalise(normals), areas, oriented: windingIsConsistent(normals, positions, triangles) };
}

function normalise(normals: Float32Array): Float32Array {
  for (let i = 0; i < normals.length; i += 3) {
    const l = Math.hypot(normals[i], normals[i + 1], normals[i + 2]);
    if (l > 0) {
      normals[i] /= l;
      normals[i + 1] /= l;
      normals[i + 2] /= l;
    } else normals[i + 2] = 1;
  }
  return normals;
}

/** Share of facets that must agree with the normals of their own corners for the winding to count as consistent. */
const CONSISTENT_SHARE = 0.97;
/** Facets looked at: enough for the share to ± 0.5 %. */
const FACETS_LOOKED_AT = 4000;

function windingIsConsistent(normals: Float32Array, positions: Float32Array, triangles: Uint32Array): boolean {
  const facets = triangles.length / 3;
  const step = Math.max(1, Math.floor(facets / FACETS_LOOKED_AT));
  let agree = 0;
  let seen = 0;
  for (let f = 0; f < facets; f += step) {
    const [a, b, c] = [3 * triangles[3 * f], 3 * triangles[3 * f + 1], 3 * triangles[3 * f + 2]];
    const ux = positions[b] - positions[a];
    const uy = positions[b + 1] - positions[a + 1];
    const uz = positions[b + 2] - positions[a + 2];
    const vx = positions[c] - positions[a];
    const vy = positions[c + 1] - positions[a + 1];
    const vz = positions[c + 2] - positions[a + 2];
    const nx = uy * vz - uz * vy;
    const ny = uz * vx - ux * vz;
    const nz = ux * vy - uy * vx;
    for (const i of [a, b, c]) {
      seen++;
      if (nx * normals[i] + ny * normals[i + 1] + nz * normals[i + 2] > 0) agree++;
    }
  }
  return seen > 0 && agree >= CONSISTENT_SHARE * seen;
}
