/** Parts of an instrument that tell changes. */
export type FloorKind = 'body' | 'neck' | 'heel' | 'board';

/** Means of points of one part in cells; the noise of a mean of k points is σ/√k. */
export interface FloorBins {
  readonly count: number;
  readonly kind: readonly FloorKind[];
  readonly xyz: Float64Array;
  readonly normal: Float64Array;
  readonly points: Float64Array;
}

/** Edge of a cell, mm: far below a correlation length, and plane enough on all parts. */
const CELL: Readonly<Record<FloorKind, number>> = { body: 8, neck: 3, heel: 3, board: 3 };
/** Normals of one cell lie within so much of each other: the two sides of a thin part are two cells. */
const WAYS = 2;

export function floorBins(points: ArrayLike<number>, normals: ArrayLike<number>, kindOf: (i: number) => FloorKind | undefined): FloorBins {
  const sums = new Map<string, { readonly kind: FloorKind; readonly sum: Float64Array }>();
  for (let i = 0; i < points.length / 3; i++) {
    const kind = kindOf(i);
    if (kind === undefined) continue;
    const key = [0, 1, 2].map((k) => `${Math.floor(points[3 * i + k] / CELL[kind])},${Math.round(WAYS * normals[3 * i + k])}`).join(' ');
    const name = `${kind} ${key}`;
    let bin = sums.get(name);
    if (bin === undefined) {
      bin = { kind, sum: new Float64Array(7) };
      sums.set(name, bin);
    }
    for (let k = 0; k < 3; k++) {
      bin.sum[k] += points[3 * i + k];
      bin.sum[3 + k] += normals[3 * i + k];
    }
    bin.sum[6]++;
  }
  const bins = [...sums.values()];
  return {
    count: bins.length,
    kind: bins.map((b) => b.kind),
    xyz: Float64Array.from({ length: 3 * bins.length }, (_, j) => at(bins, j).sum[j % 3] / at(bins, j).sum[6]),
    normal: Float64Array.from({ length: 3 * bins.length }, (_, j) => {
      const { sum } = at(bins, j);
      return sum[3 + (j % 3)] / Math.hypot(sum[3], sum[4], sum[5]);
    }),
    points: Float64Array.from(bins, (b) => b.sum[6]),
  };
}

const at = <T>(bins: readonly T[], j: number): T => bins[Math.floor(j / 3)];

/** Indices of the bins that fulfil a condition. */
export function subset(bins: FloorBins, isIn: (i: number) => boolean): number[] {
  const ids: number[] = [];
  for (let i = 0; i < bins.count; i++) if (isIn(i)) ids.push(i);
  return ids;
}
