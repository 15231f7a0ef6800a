/** A silhouette: which cells of a plan hold surface. Coordinates along u (columns) and v (rows), any unit. */
export interface Silhouette {
  readonly cell: number;
  readonly u: Float64Array;
  readonly v: Float64Array;
}

/** Centres of the occupied cells of points given by their plan coordinates. */
export function silhouette(u: Float64Array, v: Float64Array, cell: number): Silhouette {
  const seen = new Set<number>();
  const cu: number[] = [];
  const cv: number[] = [];
  for (let i = 0; i < u.length; i++) {
    const a = Math.floor(u[i] / cell);
    const b = Math.floor(v[i] / cell);
    const key = (a + 32768) * 65536 + b + 32768;
    if (seen.has(key)) continue;
    seen.add(key);
    cu.push((a + 0.5) * cell);
    cv.push((b + 0.5) * cell);
  }
  return { cell, u: Float64Array.from(cu), v: Float64Array.from(cv) };
}

/** A line in the plan: direction angle (rad) and signed distance of the origin along the line's left normal. */
export interface Axis {
  readonly angle: number;
  readonly offset: number;
  /** Share of the silhouette that is met again when mirrored across the axis, 0…1. */
  readonly symmetry: number;
}

const COARSE_STEP = (2 * Math.PI) / 180;
const FINE_STEP = (0.25 * Math.PI) / 180;
/** Axes kept for the template to decide between. */
const KEPT = 4;
/** Kept axes differ by at least this angle. */
const APART = (15 * Math.PI) / 180;

/** The axes of mirror symmetry of a silhouette, best first: all directions are tried. */
export function symmetryAxes(s: Silhouette): readonly Axis[] {
  const all: Axis[] = [];
  for (let angle = 0; angle < Math.PI; angle += COARSE_STEP) all.push(bestOffset(s, angle, 1));
  all.sort((a, b) => b.symmetry - a.symmetry);
  const kept: Axis[] = [];
  for (const axis of all) {
    if (kept.every((k) => angleBetween(k.angle, axis.angle) > APART)) kept.push(axis);
    if (kept.length === KEPT) break;
  }
  return kept.map((axis) => refine(s, axis));
}

function refine(s: Silhouette, axis: Axis): Axis {
  let best = axis;
  for (let k = -8; k <= 8; k++) {
    const tried = bestOffset(s, axis.angle + k * FINE_STEP, 0.5);
    if (tried.symmetry > best.symmetry) best = tried;
  }
  return best;
}

const angleBetween = (a: number, b: number): number => {
  const d = Math.abs(a - b) % Math.PI;
  return Math.min(d, Math.PI - d);
};

function bestOffset(s: Silhouette, angle: number, step: number): Axis {
  const c = Math.cos(angle);
  const d = Math.sin(angle);
  const n = s.u.length;
  const along = new Float64Array(n);
  const across = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    along[i] = (c * s.u[i] + d * s.v[i]) / s.cell;
    across[i] = (-d * s.u[i] + c * s.v[i]) / s.cell;
  }
  const sorted = Float64Array.from(across).sort();
  const middle = sorted[n >> 1];
  const reach = Math.max(2, 0.15 * (sorted[Math.floor(0.95 * n)] - sorted[Math.floor(0.05 * n)]));
  const { occupied, width, originAlong, originAcross } = raster(along, across);
  let best: Axis = { angle, offset: middle * s.cell, symmetry: 0 };
  for (let offset = middle - reach; offset <= middle + reach; offset += step) {
    let met = 0;
    for (let i = 0; i < n; i++) {
      const y = Math.round(2 * offset - across[i] - originAcross);
      const x = Math.round(along[i] - originAlong);
      if (y >= 0 && y < width) met += occupied[x * width + y];
    }
    if (met / n > best.symmetry) best = { angle, offset: offset * s.cell, symmetry: met / n };
  }
  return best;
}

/** Occupied cells in rotated coordinates, thickened by one cell so that rounding does not tear holes. */
function raster(along: Float64Array, across: Float64Array) {
  let [a0, a1, b0, b1] = [Infinity, -Infinity, Infinity, -Infinity];
  for (let i = 0; i < along.length; i++) {
    a0 = Math.min(a0, along[i]);
    a1 = Math.max(a1, along[i]);
    b0 = Math.min(b0, across[i]);
    b1 = Math.max(b1, across[i]);
  }
  const originAlong = a0 - 1;
  const originAcross = b0 - 1;
  const width = Math.ceil(b1 - b0) + 4;
  const occupied = new Uint8Array((Math.ceil(a1 - a0) + 4) * width);
  for (let i = 0; i < along.length; i++) {
    const at = Math.round(along[i] - originAlong) * width + Math.round(across[i] - originAcross);
    for (const step of [0, 1, -1, width, -width]) if (at + step >= 0) occupied[at + step] = 1;
  }
  return { occupied, width, originAlong, originAcross };
}
