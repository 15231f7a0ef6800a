import { SampleList, type Samples } from '../geometry/samples.ts';
import { linearLeastSquares } from '../numerics/linear-least-squares.ts';
import { quantile } from '../numerics/statistics.ts';
import type { RimStation } from './rim-stations.ts';

/** The outline beside the neck is continued from this stretch beside the root, mm × size from its side: nearer, a fillet or glue rounds the corner. */
const BESIDE = { from: 3, to: 22 };
/** The outline is continued across the saddle from this stretch of the tail end, as shares of body length in |y|. */
const TAIL = { from: 0.075, to: 0.19 };

/** Outline on both sides of the neck root, for the joint. */
export function outlineBesideNeck(stations: readonly RimStation[], rootHalf: number, size: number): Samples {
  const near = stations.filter(
    (s) => !Number.isNaN(s.x) && s.x < 40 * size && within(Math.abs(s.y) - rootHalf, BESIDE.from * size, BESIDE.to * size),
  );
  return listed([-1, 1].flatMap((side) => withoutStrays(clear(near, side), size, acrossRow)));
}

/** The first stations beside the hidden stretch: their windows and normals have neighbours on one side only. */
const UNSURE_STATIONS = 2;

function clear(stations: readonly RimStation[], side: number): readonly RimStation[] {
  const rows = stations.filter((s) => s.side === side).sort((a, b) => Math.abs(a.y) - Math.abs(b.y));
  return rows.slice(UNSURE_STATIONS);
}

/** Outline on both sides of the saddle, for the tail end. */
export function outlineBesideSaddle(stations: readonly RimStation[], bodyLength: number): Samples {
  const near = stations.filter(
    (s) => !Number.isNaN(s.x) && s.x > 0.85 * bodyLength && within(Math.abs(s.y) / bodyLength, TAIL.from, TAIL.to),
  );
  return listed(withoutStrays(near, bodyLength / 355, tailRow));
}

/** Deviation from the common curve that makes a stray, mm × size and robust standard deviations: a bin half hidden by the root, glue. */
const STRAY = { least: 0.12, deviations: 4 };
const ROUNDS = 5;

/**
 * Row of the outline beside the neck: even in y, since an outline is drawn square to the centreline where it crosses it, but with coefficients of its own for
 * each side, since the two sides differ.
 */
export const acrossRow = (y: number): [number, number, number] => [1, y * y, y * y * y * y];

/** Row of the outline across the tail end: one smooth curve on both sides of the saddle. */
export const tailRow = (y: number): [number, number, number, number] => [1, y, y * y, y * y * y * y];

function withoutStrays(stations: readonly RimStation[], size: number, row: (y: number) => readonly number[]): readonly RimStation[] {
  let kept = stations;
  for (let round = 0; round < ROUNDS && kept.length > 8; round++) {
    const design = Float64Array.from(kept.flatMap((s) => [...row(s.y)]));
    const fit = tryFit(
      design,
      row(0).length,
      kept.map((s) => s.x),
    );
    if (fit === undefined) return kept;
    const off = (s: RimStation) => Math.abs(s.x - row(s.y).reduce((sum, v, k) => sum + v * fit[k], 0));
    const limit = Math.max(STRAY.least * size, STRAY.deviations * 1.4826 * quantile(kept.map(off), 0.5));
    const next = kept.filter((s) => off(s) <= limit);
    if (next.length === kept.length) break;
    kept = next;
  }
  return kept;
}

function tryFit(design: Float64Array, columns: number, x: readonly number[]): Float64Array | undefined {
  try {
    return linearLeastSquares(design, columns, Float64Array.from(x)).coefficients;
  } catch (error) {
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}

const within = (v: number, from: number, to: number): boolean => v >= from && v <= to;

function listed(stations: readonly RimStation[]): Samples {
  const list = new SampleList();
  for (const s of stations) list.add(s.x, s.y, s.z, s.nx, s.ny, 0, s.outlineU, 1);
  return list.samples();
}
