/**
 * A uniform grid over 3-D points: `order` lists point indices cell by cell, `starts[c] … starts[c + 1]` are those of cell c. One counting sort, flat arrays.
 */
export interface PointGrid {
  readonly cell: number;
  readonly min: readonly [number, number, number];
  readonly size: readonly [number, number, number];
  readonly starts: Uint32Array;
  readonly order: Uint32Array;
}

/** Cells at most: 4 bytes each; a sparser cloud gets larger cells. */
const MOST_CELLS = 8_000_000;

/** @param cell  wanted edge of a cell, in the points' unit; enlarged where the box would need more than `MOST_CELLS` */
export function gridOfPoints(positions: Float32Array, cell: number): PointGrid {
  const n = positions.length / 3;
  const min: [number, number, number] = [Infinity, Infinity, Infinity];
  const max: [number, number, number] = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < positions.length; i += 3) {
    for (let k = 0; k < 3; k++) {
      const v = positions[i + k];
      if (v < min[k]) min[k] = v;
      if (v > max[k]) max[k] = v;
    }
  }
  let edge = cell;
  const cells = () => [0, 1, 2].map((k) => Math.floor((max[k] - min[k]) / edge) + 1) as [number, number, number];
  let size = cells();
  while (size[0] * size[1] * size[2] > MOST_CELLS) {
    edge *= 1.26;
    size = cells();
  }
  const starts = new Uint32Array(size[0] * size[1] * size[2] + 1);
  const at = new Uint32Array(n);
  for (let i = 0; i < n; i++) {
    const x = Math.floor((positions[3 * i] - min[0]) / edge);
    const y = Math.floor((positions[3 * i + 1] - min[1]) / edge);
    const z = Math.floor((positions[3 * i + 2] - min[2]) / edge);
    at[i] = (z * size[1] + y) * size[0] + x;
    starts[at[i]]++;
  }
  for (let c = 1; c < starts.length; c++) starts[c] += starts[c - 1];
  // Each cell is filled from its end: its entry then stands at its start.
  const order = new Uint32Array(n);
  for (let i = n - 1; i >= 0; i--) order[--starts[at[i]]] = i;
  return { cell: edge, min, size, starts, order };
}
