import type { Cloud } from '../geometry/cloud.ts';

/**
 * Connected pieces of a cloud: points are neighbours when their cells touch (26-neighbourhood).
 *
 * @param cell  edge of a cell, cloud's unit
 * @returns a label per point, 0 for the piece with the largest area, and the area of each piece in falling order
 */
export function components(cloud: Cloud, cell: number): { readonly labels: Int32Array; readonly areas: readonly number[] } {
  const { cells, cellOf } = occupiedCells(cloud, cell);
  const parent = Int32Array.from(cells, (_, i) => i);
  const find = (i: number): number => {
    let r = i;
    while (parent[r] !== r) r = parent[r];
    while (parent[i] !== r) [i, parent[i]] = [parent[i], r];
    return r;
  };
  const index = new Map(cells.map((key, i) => [key, i]));
  cells.forEach((key, i) => {
    for (const step of HALF_NEIGHBOURS) {
      const j = index.get(key + step);
      if (j !== undefined) parent[find(i)] = find(j);
    }
  });
  const area = new Map<number, number>();
  for (let i = 0; i < cloud.count; i++) {
    const r = find(cellOf[i]);
    area.set(r, (area.get(r) ?? 0) + cloud.areas[i]);
  }
  const ranked = [...area].sort((a, b) => b[1] - a[1] || a[0] - b[0]);
  const rank = new Map(ranked.map(([root], k) => [root, k]));
  const labels = new Int32Array(cloud.count);
  for (let i = 0; i < cloud.count; i++) labels[i] = rank.get(find(cellOf[i])) as number;
  return { labels, areas: ranked.map((r) => r[1]) };
}

const ROW = 4096;
const HALF_NEIGHBOURS = [1, ROW - 1, ROW, ROW + 1].concat(
  [-1, 0, 1].flatMap((y) => [-1, 0, 1].map((x) => ROW * ROW + y * ROW + x)),
);

function occupiedCells(cloud: Cloud, cell: number): { cells: number[]; cellOf: Int32Array } {
  const p = cloud.positions;
  const min = [Infinity, Infinity, Infinity];
  for (let i = 0; i < p.length; i++) min[i % 3] = Math.min(min[i % 3], p[i]);
  const index = new Map<number, number>();
  const cells: number[] = [];
  const cellOf = new Int32Array(cloud.count);
  for (let i = 0; i < cloud.count; i++) {
    const [x, y, z] = [0, 1, 2].map((k) => Math.floor((p[3 * i + k] - min[k]) / cell) + 1);
    const key = (z * ROW + y) * ROW + x;
    let c = index.get(key);
    if (c === undefined) {
      c = cells.length;
      index.set(key, c);
      cells.push(key);
    }
    cellOf[i] = c;
  }
  return { cells, cellOf };
}
