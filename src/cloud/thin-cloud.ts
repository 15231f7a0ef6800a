import type { Cloud } from '../geometry/cloud.ts';
import { CellTable } from './cell-table.ts';

/**
 * One point for each occupied cell of a grid: area-weighted mean position, summed area, mean normal (signs aligned within the cell). Shape without
 * detail, for everything that searches coarsely; cost linear in the points.
 *
 * @param cell  edge of a cell, in the cloud's unit, positive
 */
export function thinCloud(cloud: Cloud, cell: number): Cloud {
  const table = new CellTable();
  let sums = new Float64Array(7 * 8192);
  const { positions: p, normals: n, areas } = cloud;
  const inverse = 1 / cell;
  for (let i = 0; i < cloud.count; i++) {
    const w = areas[i];
    if (!(w > 0)) continue;
    const [x, y, z] = [p[3 * i], p[3 * i + 1], p[3 * i + 2]];
    const s = 7 * table.add(cellAt(x * inverse), cellAt(y * inverse), cellAt(z * inverse));
    if (s >= sums.length) {
      const longer = new Float64Array(2 * sums.length);
      longer.set(sums);
      sums = longer;
    }
    const [nx, ny, nz] = [n[3 * i], n[3 * i + 1], n[3 * i + 2]];
    const wn = !cloud.oriented && sums[s + 3] * nx + sums[s + 4] * ny + sums[s + 5] * nz < 0 ? -w : w;
    sums[s] += w * x;
    sums[s + 1] += w * y;
    sums[s + 2] += w * z;
    sums[s + 3] += wn * nx;
    sums[s + 4] += wn * ny;
    sums[s + 5] += wn * nz;
    sums[s + 6] += w;
  }
  return cloudOfSums(sums, table.count, cloud.oriented);
}

/** Outliers farther off than this many cells share the last one: a coarse grid never reaches so far. */
const FARTHEST = 1_000_000;
const cellAt = (v: number): number => Math.floor(Math.min(FARTHEST, Math.max(-FARTHEST, v)));

function cloudOfSums(sums: Float64Array, count: number, oriented: boolean): Cloud {
  const positions = new Float32Array(3 * count);
  const normals = new Float32Array(3 * count);
  const areas = new Float32Array(count);
  for (let i = 0; i < count; i++) {
    const s = 7 * i;
    const w = sums[s + 6];
    const l = Math.sqrt(sums[s + 3] ** 2 + sums[s + 4] ** 2 + sums[s + 5] ** 2) || 1;
    for (let k = 0; k < 3; k++) {
      positions[3 * i + k] = sums[s + k] / w;
      normals[3 * i + k] = sums[s + 3 + k] / l;
    }
    areas[i] = w;
  }
  return { count, positions, normals, areas, oriented };
}
