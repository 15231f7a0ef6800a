import { CellTable } from '../cloud/cell-table.ts';
import type { Cloud } from '../geometry/cloud.ts';

/**
 * Connected pieces of a cloud: points are neighbours when their cells touch (26-neighbourhood).
 *
 * @param cell  edge of a cell, cloud's unit, positive
 * @returns a label per point, 0 for the piece with the largest area, and the area of each piece in falling order
 */
export function components(cloud: Cloud, cell: number): { readonly labels: Int32Array; readonly areas: readonly number[] } {
  const table = new CellTable();
  const cellOf = numberedCells(cloud, cell, table);
  const parent = joined(table);
  const area = new Float64Array(table.count);
  for (let i = 0; i < cloud.count; i++) area[rootOf(parent, cellOf[i])] += cloud.areas[i];
  const roots = Array.from(parent.keys()).filter((c) => parent[c] === c);
  roots.sort((a, b) => area[b] - area[a] || a - b);
  const rank = new Int32Array(table.count);
  roots.forEach((root, k) => {
    rank[root] = k;
  });
  return { labels: cellOf.map((c) => rank[rootOf(parent, c)]), areas: roots.map((r) => area[r]) };
}

/** Outliers farther off than this many cells share the last one. */
const FARTHEST = 1_000_000;

function numberedCells(cloud: Cloud, cell: number, table: CellTable): Int32Array {
  const p = cloud.positions;
  const at = (v: number) => Math.floor(Math.min(FARTHEST, Math.max(-FARTHEST, v / cell)));
  const cellOf = new Int32Array(cloud.count);
  for (let i = 0; i < cloud.count; i++) cellOf[i] = table.add(at(p[3 * i]), at(p[3 * i + 1]), at(p[3 * i + 2]));
  return cellOf;
}

/** Half of the 26 neighbours: the other half meets the pair from its other end. */
const HALF_NEIGHBOURS: readonly (readonly [number, number, number])[] = [-1, 0, 1]
  .flatMap((z) => [-1, 0, 1].flatMap((y) => [-1, 0, 1].map((x) => [x, y, z] as const)))
  .filter(([x, y, z]) => 9 * z + 3 * y + x > 0);

function joined(table: CellTable): Int32Array {
  const parent = Int32Array.from({ length: table.count }, (_, c) => c);
  for (let c = 0; c < table.count; c++) {
    for (const [dx, dy, dz] of HALF_NEIGHBOURS) {
      const d = table.find(table.x[c] + dx, table.y[c] + dy, table.z[c] + dz);
      if (d >= 0) parent[rootOf(parent, c)] = rootOf(parent, d);
    }
  }
  return parent;
}

function rootOf(parent: Int32Array, from: number): number {
  let c = from;
  while (parent[c] !== c) {
    parent[c] = parent[parent[c]];
    c = parent[c];
  }
  return c;
}
