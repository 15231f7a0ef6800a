import type { Samples } from '../geometry/samples.ts';
import { edgeScale } from './edge-scale.ts';
import type { NeckRoot } from './neck-root.ts';
import { outlineSamples } from './outline-samples.ts';
import type { RimStation } from './rim-stations.ts';
import { trimmedCurve } from './trimmed-curve.ts';

/**
 * The outline beside the neck is continued from the stretch between `from` (mm × scale of the edge) and `near` (mm × size) beside the root: nearer, a fillet or glue rounds
 * the corner; farther, sloping shoulders turn into another arc (on basses some 20 mm × size beside the root, and a curve through both arcs meets the root millimetres off).
 * Out to `far` (mm × scale of the edge) it is looked at for strays, and taken where the near stretch holds too few places.
 */
const BESIDE = { from: 3, near: 12, far: 22 };
/** Fewest places on a side; where the near stretch has fewer, the nearest so many count. */
const NEAREST = 6;
/** Within this of the root's side, mm × scale of the edge, the outline is not looked at. */
export const HIDDEN_BESIDE_NECK = 1.5;
/** The first station beside the hidden stretch: its bin may hold points of the root. */
const UNSURE_STATIONS = 1;

/** Outline on both sides of the neck root, for the joint. */
export function outlineBesideNeck(stations: readonly RimStation[], root: NeckRoot, size: number): Samples {
  const edge = edgeScale(size);
  const beside = (s: RimStation): number => Math.abs(s.y) - (s.side < 0 ? root.halfBass : root.halfTreble);
  const near = stations.filter(
    (s) => !Number.isNaN(s.x) && s.x < 40 * size && within(beside(s), HIDDEN_BESIDE_NECK * edge, BESIDE.far * edge),
  );
  return outlineSamples(
    [-1, 1].flatMap((side) => {
      const rows = near.filter((s) => s.side === side).sort((a, b) => Math.abs(a.y) - Math.abs(b.y));
      const sound = clearOfRoot(
        rows.slice(UNSURE_STATIONS).filter((s) => beside(s) >= BESIDE.from * edge),
        size,
      );
      return sound.filter((s, k) => k < NEAREST || beside(s) <= BESIDE.near * size);
    }),
  );
}

/** Deviation from the curve that always counts as outline, mm × size. */
const ON_CURVE = 0.12;

/**
 * Row of the outline beside the neck: even in y, since an outline is drawn square to the centreline where it crosses it, but with coefficients of its own for
 * each side, since the two sides differ.
 */
export const acrossRow = (y: number): [number, number, number] => [1, y * y, y * y * y * y];

/**
 * Places up to the one nearest the root that the root, its fillet or glue draws off the curve of the others. That curve has room for a second arc, and is begun from the far places as
 * well, which nothing hides.
 */
function clearOfRoot(rows: readonly RimStation[], size: number): readonly RimStation[] {
  const far = Math.floor(rows.length / 3);
  const ids = rows.map((_, i) => i);
  const on = trimmedCurve(
    rows.map((s) => {
      const y = s.y / (2 * BESIDE.far * size);
      return [...acrossRow(y), y ** 6];
    }),
    rows.map((s) => s.x),
    [ids, ids.slice(far), ids.slice(0, rows.length - far)],
    ON_CURVE * size,
  );
  if (on === undefined) return rows;
  const last = on.slice(0, far).lastIndexOf(false);
  return rows.slice(last + 1).filter((_, i) => on[i + last + 1]);
}

const within = (v: number, from: number, to: number): boolean => v >= from && v <= to;
