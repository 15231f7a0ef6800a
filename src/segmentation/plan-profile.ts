import type { Axis, Silhouette } from './plan-silhouette.ts';

/** Extent of a silhouette across an axis, bin by bin along it. Bins without cells hold NaN. */
export interface PlanProfile {
  readonly bin: number;
  /** Position of the first bin's centre along the axis. */
  readonly start: number;
  readonly low: Float64Array;
  readonly high: Float64Array;
}

/** Along and across coordinates are those of `axis`: across is measured from it. */
export function planProfile(s: Silhouette, axis: Axis): PlanProfile {
  const c = Math.cos(axis.angle);
  const d = Math.sin(axis.angle);
  const n = s.u.length;
  const along = new Float64Array(n);
  let [min, max] = [Infinity, -Infinity];
  for (let i = 0; i < n; i++) {
    along[i] = c * s.u[i] + d * s.v[i];
    min = Math.min(min, along[i]);
    max = Math.max(max, along[i]);
  }
  const bins = Math.floor((max - min) / s.cell) + 1;
  const low = new Float64Array(bins).fill(NaN);
  const high = new Float64Array(bins).fill(NaN);
  for (let i = 0; i < n; i++) {
    const b = Math.min(bins - 1, Math.floor((along[i] - min) / s.cell));
    const y = -d * s.u[i] + c * s.v[i] - axis.offset;
    if (!(low[b] <= y)) low[b] = y;
    if (!(high[b] >= y)) high[b] = y;
  }
  return { bin: s.cell, start: min + s.cell / 2, low, high };
}
