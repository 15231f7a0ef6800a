import { gridOfPoints, type PointGrid } from './point-grid.ts';

/** Points whose neighbours are looked up: the median is then good to some 2 %. */
const LOOKED_AT = 2000;

/**
 * Median distance between neighbouring points of a surface: √(area a point), from the number of points within a radius that grows until it
 * holds enough of them. Unit of the coordinates. Zero for fewer than two distinct points.
 */
export function medianSpacing(positions: Float32Array): number {
  const n = positions.length / 3;
  if (n < 2) return 0;
  const diagonal = boxDiagonal(positions);
  if (!(diagonal > 0)) return 0;
  // A long body of the diagonal's length and a third of its width has about this surface; the radius holds some sixty points of it, for six in sparse stretches.
  const grid = gridOfPoints(positions, Math.sqrt((0.3 * diagonal * diagonal * 60) / (Math.PI * n)));
  const step = Math.max(1, Math.floor(n / LOOKED_AT));
  const found: number[] = [];
  const nearest = new Float64Array(NEIGHBOURS);
  for (let i = 0; i < n; i += step) {
    const d = spacingAt(positions, grid, i, nearest);
    if (d > 0) found.push(d);
  }
  found.sort((a, b) => a - b);
  return found.length > 0 ? found[found.length >> 1] : diagonal / Math.sqrt(n);
}

function boxDiagonal(p: Float32Array): number {
  const min = [p[0], p[1], p[2]];
  const max = [p[0], p[1], p[2]];
  for (let i = 0; i < p.length; i += 3) {
    for (let k = 0; k < 3; k++) {
      if (p[i + k] < min[k]) min[k] = p[i + k];
      if (p[i + k] > max[k]) max[k] = p[i + k];
    }
  }
  return Math.hypot(max[0] - min[0], max[1] - min[1], max[2] - min[2]);
}

/** The disc out to this neighbour tells the spacing. */
const NEIGHBOURS = 6;

/** Spacing at point i: from the distance of its sixth neighbour, which bounds a disc that holds six points besides it. 0 where fewer lie within a cell's edge. */
function spacingAt(p: Float32Array, grid: PointGrid, i: number, nearest: Float64Array): number {
  const { cell, min, size, starts, order } = grid;
  const [cx, cy, cz] = [0, 1, 2].map((k) => Math.floor((p[3 * i + k] - min[k]) / cell));
  nearest.fill(cell * cell);
  let found = 0;
  for (let z = Math.max(0, cz - 1); z <= Math.min(size[2] - 1, cz + 1); z++) {
    for (let y = Math.max(0, cy - 1); y <= Math.min(size[1] - 1, cy + 1); y++) {
      const row = (z * size[1] + y) * size[0];
      const end = starts[row + Math.min(size[0] - 1, cx + 1) + 1];
      for (let s = starts[row + Math.max(0, cx - 1)]; s < end; s++) {
        const j = order[s];
        const dx = p[3 * j] - p[3 * i];
        const dy = p[3 * j + 1] - p[3 * i + 1];
        const dz = p[3 * j + 2] - p[3 * i + 2];
        const q = dx * dx + dy * dy + dz * dz;
        if (!(q > 0) || q >= nearest[NEIGHBOURS - 1]) continue;
        found++;
        insert(nearest, q);
      }
    }
  }
  return found < NEIGHBOURS ? 0 : Math.sqrt((Math.PI * nearest[NEIGHBOURS - 1]) / (NEIGHBOURS + 0.5));
}

/** Puts a value in its place among rising ones; the largest falls out. */
function insert(rising: Float64Array, value: number): void {
  let k = rising.length - 1;
  while (k > 0 && rising[k - 1] > value) {
    rising[k] = rising[k - 1];
    k--;
  }
  rising[k] = value;
}
