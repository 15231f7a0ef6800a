import type { Cloud } from '../geometry/cloud.ts';
import type { SampleList } from '../geometry/samples.ts';

/** Height and slope of a fitted surface: `out` is the coordinate that it gives, `a` and `b` those that it depends on. */
export interface FittedSurface {
  /** Index (0, 1, 2 for x, y, z) of the coordinate that the surface gives. */
  readonly out: number;
  /** Indices of the two coordinates that it depends on. */
  readonly a: number;
  readonly b: number;
  /** Sign of the outward normal along `out`. */
  readonly outward: 1 | -1;
  value(a: number, b: number): number;
  gradient(a: number, b: number): readonly [number, number];
}

/**
 * Reduces points of one smooth surface to samples: their mean in square cells of the two coordinates that the surface depends on. The mean runs over the
 * *distance* from `surface`, added to it at the cell's centre of area, so that curvature inside a cell does not pull the sample inwards.
 *
 * @param ids  points of the cloud
 * @param cell  edge of a cell, mm
 * @param sigma  white noise of one point along the normal, mm
 * @returns number of samples added to `list`
 */
export function averageCells(
  list: SampleList,
  cloud: Cloud,
  ids: ArrayLike<number>,
  surface: FittedSurface,
  cell: number,
  sigma: number,
): number {
  const { out, a, b } = surface;
  const p = cloud.positions;
  const cells = new Map<number, number[]>();
  for (let k = 0; k < ids.length; k++) {
    const i = ids[k];
    const key = Math.floor(p[3 * i + a] / cell) * KEY_STRIDE + Math.floor(p[3 * i + b] / cell);
    const members = cells.get(key);
    if (members === undefined) cells.set(key, [i]);
    else members.push(i);
  }
  const keys = [...cells.keys()].sort((k, l) => k - l);
  const point = [0, 0, 0];
  const normal = [0, 0, 0];
  for (const key of keys) {
    const members = cells.get(key) as number[];
    let area = 0;
    let squares = 0;
    let meanA = 0;
    let meanB = 0;
    let offset = 0;
    for (const i of members) {
      const w = Math.max(cloud.areas[i], LEAST_AREA);
      area += w;
      squares += w * w;
      meanA += w * p[3 * i + a];
      meanB += w * p[3 * i + b];
      offset += w * (p[3 * i + out] - surface.value(p[3 * i + a], p[3 * i + b]));
    }
    point[a] = meanA / area;
    point[b] = meanB / area;
    point[out] = surface.value(point[a], point[b]) + offset / area;
    const [ga, gb] = surface.gradient(point[a], point[b]);
    const scale = surface.outward / Math.sqrt(1 + ga * ga + gb * gb);
    normal[out] = scale;
    normal[a] = -ga * scale;
    normal[b] = -gb * scale;
    list.add(point[0], point[1], point[2], normal[0], normal[1], normal[2], (sigma * Math.sqrt(squares)) / area, area);
  }
  return keys.length;
}

/** Cells along the second coordinate, at most, on either side of zero: keeps keys distinct. */
const KEY_STRIDE = 1 << 20;
/** mm². A point without neighbours stands for no area; it must not divide by zero. */
const LEAST_AREA = 1e-6;
