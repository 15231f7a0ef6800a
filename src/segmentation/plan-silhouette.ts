/** A silhouette: which cells of a plan hold surface. Coordinates along u (columns) and v (rows), any unit. */
export interface Silhouette {
  readonly cell: number;
  readonly u: Float64Array;
  readonly v: Float64Array;
}

/** Cells that hold less surface than this share of the median cell hold strays. */
const LEAST_SURFACE = 0.12;

/**
 * Centres of the cells that hold surface, of points given by their plan coordinates.
 *
 * @param areas  surface of each point
 */
export function silhouette(u: Float64Array, v: Float64Array, areas: ArrayLike<number>, cell: number): Silhouette {
  const [u0, u1] = extent(u);
  const [v0, v1] = extent(v);
  const width = Math.floor((v1 - v0) / cell) + 1;
  const surface = new Float64Array((Math.floor((u1 - u0) / cell) + 1) * width);
  for (let i = 0; i < u.length; i++) surface[Math.floor((u[i] - u0) / cell) * width + Math.floor((v[i] - v0) / cell)] += areas[i];
  const held = surface.filter((a) => a > 0).sort();
  const least = LEAST_SURFACE * held[held.length >> 1];
  const count = held.reduce((n, a) => (a >= least ? n + 1 : n), 0);
  const cu = new Float64Array(count);
  const cv = new Float64Array(count);
  for (let at = 0, k = 0; at < surface.length; at++) {
    if (!(surface[at] > 0) || surface[at] < least) continue;
    cu[k] = u0 + (Math.floor(at / width) + 0.5) * cell;
    cv[k++] = v0 + ((at % width) + 0.5) * cell;
  }
  return { cell, u: cu, v: cv };
}

function extent(values: Float64Array): [number, number] {
  let [least, most] = [Infinity, -Infinity];
  for (const value of values) {
    if (value < least) least = value;
    if (value > most) most = value;
  }
  return [least, most];
}

/** A line in the plan: direction angle (rad) and signed distance of the origin along the line's left normal. */
export interface Axis {
  readonly angle: number;
  readonly offset: number;
  /** Share of the silhouette that is met again when mirrored across the axis, 0…1. */
  readonly symmetry: number;
}

const DEGREE = Math.PI / 180;
const COARSE_STEP = 2 * DEGREE;
/** Steps of the refinement, each over the reach of the step before. */
const FINE_STEPS = [0.75 * DEGREE, 0.25 * DEGREE];
/** The coarse search looks at cells this many times larger. */
const COARSER = 2;
/** Offsets about the coarse one that the refinement tries, cells. */
const FINE_REACH = 3;
/** Axes kept for the template to decide between. */
const KEPT = 4;
/** Kept axes differ by at least this angle. */
const APART = 15 * DEGREE;

/** The axes of mirror symmetry of a silhouette, best first: all directions are tried, coarsely, then the best ones in detail. */
export function symmetryAxes(s: Silhouette): readonly Axis[] {
  const [mu, mv] = [mean(s.u), mean(s.v)];
  // About its own middle an axis' offset hardly changes with its direction.
  const centred: Silhouette = { cell: s.cell, u: s.u.map((u) => u - mu), v: s.v.map((v) => v - mv) };
  const coarse = silhouette(centred.u, centred.v, new Uint8Array(s.u.length).fill(1), COARSER * s.cell);
  const all: Axis[] = [];
  for (let angle = 0; angle < Math.PI; angle += COARSE_STEP) all.push(anyOffset(coarse, angle));
  all.sort((a, b) => b.symmetry - a.symmetry);
  const kept: Axis[] = [];
  for (const axis of all) {
    if (kept.every((k) => angleBetween(k.angle, axis.angle) > APART)) kept.push(axis);
    if (kept.length === KEPT) break;
  }
  return kept.map((axis) => {
    const fine = refine(centred, axis);
    return { ...fine, offset: fine.offset - Math.sin(fine.angle) * mu + Math.cos(fine.angle) * mv };
  });
}

const mean = (values: Float64Array): number => values.reduce((sum, v) => sum + v, 0) / values.length;

function refine(s: Silhouette, axis: Axis): Axis {
  let best: Axis = { ...axis, symmetry: 0 };
  let middle = axis;
  for (const step of FINE_STEPS) {
    for (let k = -3; k <= 3; k++) {
      const tried = bestOffset(s, middle.angle + k * step, middle.offset / s.cell - FINE_REACH, middle.offset / s.cell + FINE_REACH, 0.5);
      if (tried.symmetry > best.symmetry) best = tried;
    }
    middle = best;
  }
  return best;
}

const angleBetween = (a: number, b: number): number => {
  const d = Math.abs(a - b) % Math.PI;
  return Math.min(d, Math.PI - d);
};

/** Offsets lie within this share of the width about the middle. */
const REACH = 0.15;

function anyOffset(s: Silhouette, angle: number): Axis {
  const c = Math.cos(angle) / s.cell;
  const d = Math.sin(angle) / s.cell;
  const sorted = s.u.map((u, i) => -d * u + c * s.v[i]).sort();
  const n = sorted.length;
  const middle = sorted[n >> 1];
  const reach = Math.max(2, REACH * (sorted[Math.floor(0.95 * n)] - sorted[Math.floor(0.05 * n)]));
  return bestOffset(s, angle, middle - reach, middle + reach, 1);
}

/** Best offset between two, in cells. */
function bestOffset(s: Silhouette, angle: number, from: number, to: number, step: number): Axis {
  const c = Math.cos(angle) / s.cell;
  const d = Math.sin(angle) / s.cell;
  const n = s.u.length;
  const along = new Float64Array(n);
  const across = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    along[i] = c * s.u[i] + d * s.v[i];
    across[i] = -d * s.u[i] + c * s.v[i];
  }
  const { occupied, width, row, originAcross } = raster(along, across);
  let best: Axis = { angle, offset: ((from + to) / 2) * s.cell, symmetry: 0 };
  for (let offset = from; offset <= to; offset += step) {
    const mirror = 2 * offset - originAcross + 0.5;
    let met = 0;
    for (let i = 0; i < n; i++) {
      const y = Math.floor(mirror - across[i]);
      if (y >= 0 && y < width) met += occupied[row[i] + y];
    }
    if (met / n > best.symmetry) best = { angle, offset: offset * s.cell, symmetry: met / n };
  }
  return best;
}

/** Occupied cells in rotated coordinates, thickened by one cell so that rounding does not tear holes; and where each point's row begins. */
function raster(along: Float64Array, across: Float64Array) {
  const [a0, a1] = extent(along);
  const [b0, b1] = extent(across);
  const originAlong = a0 - 1;
  const originAcross = b0 - 1;
  const width = Math.ceil(b1 - b0) + 4;
  const occupied = new Uint8Array((Math.ceil(a1 - a0) + 4) * width);
  const row = new Int32Array(along.length);
  for (let i = 0; i < along.length; i++) {
    row[i] = Math.round(along[i] - originAlong) * width;
    const at = row[i] + Math.round(across[i] - originAcross);
    occupied[at] = 1;
    occupied[at + 1] = 1;
    occupied[at - 1] = 1;
    occupied[at + width] = 1;
    occupied[at - width] = 1;
  }
  return { occupied, width, row, originAcross };
}
