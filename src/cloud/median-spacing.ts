import { gridOfPoints } from './point-grid.ts';

/** Points whose neighbours are looked up: the median is then good to some 2 %. */
const LOOKED_AT = 2000;

/**
 * Median distance between neighbouring points of a surface: √(area a point), from the number of points within a radius that grows until it
 * holds enough of them. Unit of the coordinates. Zero for fewer than two distinct points.
 */
export function medianSpacing(positions: Float32Array): number {
  const n = positions.length / 3;
  if (n < 2) return 0;
  const min = [Infinity, Infinity, Infinity];
  const max = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < positions.length; i++) {
    const k = i % 3;
    if (positions[i] < min[k]) min[k] = positions[i];
    if (positions[i] > max[k]) max[k] = positions[i];
  }
  const diagonal = Math.hypot(max[0] - min[0], max[1] - min[1], max[2] - min[2]);
  if (!(diagonal > 0)) return 0;
  // A long body of the diagonal's length and a third of its width has about this surface; the first radius holds some ten points of it.
  let radius = Math.sqrt((0.3 * diagonal * diagonal * 10) / (Math.PI * n));
  const grid = gridOfPoints(positions, radius);
  radius = Math.max(radius, grid.cell);
  const step = Math.max(1, Math.floor(n / LOOKED_AT));
  const found: number[] = [];
  for (let i = 0; i < n; i += step) {
    const d = nearestDistances(positions, grid, i, radius);
    if (d > 0) found.push(d);
  }
  found.sort((a, b) => a - b);
  return found.length > 0 ? found[found.length >> 1] : diagonal / Math.sqrt(n);
}

/** Spacing at point i: from the distance of its sixth neighbour, which bounds a disc that holds six points besides it. */
function nearestDistances(p: Float32Array, grid: ReturnType<typeof gridOfPoints>, i: number, radius: number): number {
  const { cell, min, size, starts, order } = grid;
  const d2: number[] = [];
  const c = [0, 1, 2].map((k) => Math.floor((p[3 * i + k] - min[k]) / cell));
  for (let z = Math.max(0, c[2] - 1); z <= Math.min(size[2] - 1, c[2] + 1); z++) {
    for (let y = Math.max(0, c[1] - 1); y <= Math.min(size[1] - 1, c[1] + 1); y++) {
      for (let x = Math.max(0, c[0] - 1); x <= Math.min(size[0] - 1, c[0] + 1); x++) {
        const at = (z * size[1] + y) * size[0] + x;
        for (let s = starts[at]; s < starts[at + 1]; s++) {
          const j = order[s];
          if (j === i) continue;
          const q = (p[3 * j] - p[3 * i]) ** 2 + (p[3 * j + 1] - p[3 * i + 1]) ** 2 + (p[3 * j + 2] - p[3 * i + 2]) ** 2;
          if (q > 0 && q <= radius * radius) d2.push(q);
        }
      }
    }
  }
  if (d2.length < 6) return 0;
  d2.sort((a, b) => a - b);
  return Math.sqrt((Math.PI * d2[5]) / 6.5);
}
