import { selectPoints } from '../cloud/select-points.ts';
import { thinCloud } from '../cloud/thin-cloud.ts';
import type { Cloud } from '../geometry/cloud.ts';
import { quantile } from '../numerics/statistics.ts';
import { across, type PatchReader } from './patch-reader.ts';

/** Places on the baseline's surface at which two scans are held against each other; baseline's instrument frame, mm. */
export interface Cores {
  readonly count: number;
  readonly xyz: Float64Array;
  /** Outward unit normals. */
  readonly normal: Float64Array;
  /** Surface that each stands for, mm². */
  readonly area: Float64Array;
  /** White-noise variance of the place along its normal, mm². */
  readonly variance: Float64Array;
  /** The kind of surface that the caller told it to be. */
  readonly zone: Uint8Array;
}

/** Tells the zone of a place, 0 for none, and may turn the normal outwards. */
export type ZoneOf = (x: number, y: number, z: number, normal: Float64Array) => number;

/** Reach of the readings along the normal, in cells: what is farther off is another layer. */
const DEPTH = 0.4;
/** Places about which the points scatter more than this many times the median are on no smooth surface: rims, purfling, fittings' edges. */
const ROUGH = 6;
/** Largest area of a place in squares of a cell: oblique surfaces fill more than one cell's square, stacked ones are no surface. */
const MOST_AREA = 1.6;

/**
 * One place in each cell of the zones' surface, brought onto the scan's own smooth surface there.
 *
 * @param reader  of the same cloud
 * @param cell  edge of a cell, mm
 */
export function coresOf(cloud: Cloud, reader: PatchReader, cell: number, zoneOf: ZoneOf): Cores {
  const normal = new Float64Array(3);
  const zoneAt = (c: Cloud, i: number): number => {
    for (let k = 0; k < 3; k++) normal[k] = c.normals[3 * i + k];
    return zoneOf(c.positions[3 * i], c.positions[3 * i + 1], c.positions[3 * i + 2], normal);
  };
  const keep = new Uint8Array(cloud.count);
  for (let i = 0; i < cloud.count; i++) keep[i] = zoneAt(cloud, i) > 0 ? 1 : 0;
  const thinned = thinCloud(selectPoints(cloud, keep), cell);
  const rows: number[] = [];
  const scatters: number[] = [];
  const at = new Float64Array(3);
  for (let i = 0; i < thinned.count; i++) {
    const zone = zoneAt(thinned, i);
    if (zone === 0) continue;
    for (let k = 0; k < 3; k++) at[k] = thinned.positions[3 * i + k];
    const patch = reader.read(at, normal, DEPTH * cell);
    if (patch === undefined) continue;
    const [a, b] = across(normal);
    const tilted = [0, 1, 2].map((k) => normal[k] - patch.slope[0] * a[k] - patch.slope[1] * b[k]);
    const l = Math.hypot(tilted[0], tilted[1], tilted[2]);
    const area = Math.min(thinned.areas[i], MOST_AREA * cell * cell);
    rows.push(
      ...[0, 1, 2].map((k) => at[k] + patch.distance * normal[k]),
      ...tilted.map((v) => v / l),
      area,
      patch.scatter * patch.cofactor,
      zone,
    );
    scatters.push(patch.scatter);
  }
  return withoutRough(rows, scatters);
}

const WIDTH = 9;

function withoutRough(rows: readonly number[], scatters: readonly number[]): Cores {
  const limit = scatters.length === 0 ? 0 : ROUGH * quantile(scatters, 0.5);
  const kept: number[] = [];
  for (let i = 0; i < scatters.length; i++) if (scatters[i] <= limit) kept.push(i);
  const column = (k: number): Float64Array => Float64Array.from(kept, (i) => rows[WIDTH * i + k]);
  const triples = (k: number): Float64Array =>
    Float64Array.from({ length: 3 * kept.length }, (_, j) => rows[WIDTH * kept[Math.floor(j / 3)] + k + (j % 3)]);
  return {
    count: kept.length,
    xyz: triples(0),
    normal: triples(3),
    area: column(6),
    variance: column(7),
    zone: Uint8Array.from(column(8)),
  };
}
