import type { Cloud } from '../geometry/cloud.ts';

/**
 * One point for each occupied cell of a grid: area-weighted mean position, summed area, mean normal (signs aligned within the cell). Shape without
 * detail, for everything that searches coarsely; cost linear in the points.
 *
 * @param cell  edge of a cell, in the cloud's unit
 */
export function thinCloud(cloud: Cloud, cell: number): Cloud {
  const slots = new Map<number, number>();
  const sums: number[] = [];
  const { positions: p, normals: n, areas } = cloud;
  for (let i = 0; i < cloud.count; i++) {
    const w = areas[i];
    if (!(w > 0)) continue;
    const key = cellKey(p[3 * i] / cell, p[3 * i + 1] / cell, p[3 * i + 2] / cell);
    let s = slots.get(key);
    if (s === undefined) {
      s = sums.length;
      slots.set(key, s);
      sums.push(0, 0, 0, 0, 0, 0, 0);
    }
    const flip = sums[s + 3] * n[3 * i] + sums[s + 4] * n[3 * i + 1] + sums[s + 5] * n[3 * i + 2] < 0 && !cloud.oriented ? -1 : 1;
    for (let k = 0; k < 3; k++) {
      sums[s + k] += w * p[3 * i + k];
      sums[s + 3 + k] += flip * w * n[3 * i + k];
    }
    sums[s + 6] += w;
  }
  return cloudOfSums(sums, cloud.oriented);
}

/** Cells lie within ± 2^16 in each direction: a coarse grid never reaches that. */
const HALF = 65536;
function cellKey(x: number, y: number, z: number): number {
  return ((Math.floor(x) + HALF) * 131072 + Math.floor(y) + HALF) * 131072 + Math.floor(z) + HALF;
}

function cloudOfSums(sums: readonly number[], oriented: boolean): Cloud {
  const count = sums.length / 7;
  const positions = new Float32Array(3 * count);
  const normals = new Float32Array(3 * count);
  const areas = new Float32Array(count);
  for (let i = 0; i < count; i++) {
    const s = 7 * i;
    const w = sums[s + 6];
    const l = Math.hypot(sums[s + 3], sums[s + 4], sums[s + 5]) || 1;
    for (let k = 0; k < 3; k++) {
      positions[3 * i + k] = sums[s + k] / w;
      normals[3 * i + k] = sums[s + 3 + k] / l;
    }
    areas[i] = w;
  }
  return { count, positions, normals, areas, oriented };
}
