import { NormalEquations } from '../numerics/normal-equations.ts';
import { mad, median } from '../numerics/statistics.ts';
import type { Cores } from './cores.ts';
import type { Distances } from './distances.ts';
import { HEEL_FROM, HEEL_TO, type NeckShape } from './neck-zones.ts';

/** What the rigid neck above the heel did, for the heel to join: rad and mm. */
export interface NeckAbove {
  readonly roll: number;
  readonly pitch: number;
  readonly yaw: number;
  /** Displacement of the top of the heel's axis along z. */
  readonly rise: number;
  /** Standard deviation by which root and bend together may differ from the neck's pitch. */
  readonly slack: number;
}

/** How the heel's displacements are turned into root and bend; linear, so that it serves for simulated errors as well. */
export interface HeelFit {
  readonly used: Uint8Array;
  /** Root and bend, rad, from distances at the cores and the neck above. */
  readonly solve: (distance: ArrayLike<number>, neck: NeckAbove) => readonly [number, number];
}

/** Fewest cores, and the share of the heel's tenths between 10 % and 60 % of its height that they must cover. */
const FEWEST = 30;
const LEAST_TENTHS = 7;
/** Cores off the fitted displacement by this many robust deviations; never nearer than this, mm × size. */
const CUT = 5;
const LEAST_CUT = 0.03;
/** Scatter of the displacements about the fit from which on the heel was recut, mm × size. */
const RECUT = 0.12;
const LEAST_SHARE = 0.5;
/** Bend that breaks a heel, rad: maple breaks when it is stretched by just under 1 %, and a bent heel's surface by a third of the angle (half its depth over its height). */
const BREAKS = 0.026;
/** Scatter of a core's distance beyond its white noise, mm: what the surface's own unevenness and the scanner leave. */
const CORE_U = 0.01;
/** Standard deviations of what ties the heel to the neck: yaw and roll (rad), rise of its axis (mm). */
const TURN_U = 0.001;
const RISE_U = 0.02;
const COLUMNS = 7;

/**
 * Root and bend of the heel: with s the height above the button's lowest point and h the heel's height, its cross-section at s turns by root + bend·s/h, its axis is displaced by the
 * integral of that and a free offset; yaw and roll are those of the neck, and root + bend its pitch.
 *
 * @returns a reason in words where the scans do not show it
 */
export function fitHeel(cores: Cores, distances: Distances, shape: NeckShape, neck: NeckAbove): HeelFit | string {
  const { heel, size } = shape;
  if (heel === undefined) return 'the heel is not seen in the baseline';
  if (cores.count < FEWEST || tenths(cores, heel) < LEAST_TENTHS) return 'too little of the heel is seen in the baseline';
  const { distance, variance } = distances;
  const seen = distance.filter((d) => !Number.isNaN(d)).length;
  if (seen < Math.max(FEWEST, LEAST_SHARE * cores.count)) return 'too little of the heel is seen in the later scan';
  const rows = heelRows(cores, heel, heelAxis(cores), shape.centre.y0);
  let used = Uint8Array.from(distance, (d) => (Number.isNaN(d) ? 0 : 1));
  for (let k = 0; k < 3; k++) {
    const c = solve(rows, used, variance, distance, neck);
    const rest = Float64Array.from(distance, (d, i) => d - explained(rows, i, c));
    const known = rest.filter((r) => !Number.isNaN(r));
    // A contour that was cut to another lean passes for a bend: by more than wood bears, and a warp of the neck leaves open.
    if (median(known.map(Math.abs)) > RECUT * size || Math.abs(c[1]) > BREAKS + neck.slack)
      return "the heel's surface has another shape than in the baseline: it was recut";
    const limit = Math.max(CUT * mad(known), LEAST_CUT * size);
    used = Uint8Array.from(rest, (r) => (Math.abs(r) <= limit ? 1 : 0));
  }
  return {
    used,
    solve: (d, above) => {
      const c = solve(rows, used, variance, d, above);
      return [c[0], c[1]];
    },
  };
}

function tenths(cores: Cores, heel: { readonly low: number; readonly height: number }): number {
  const seen = new Uint8Array(10);
  for (let i = 0; i < cores.count; i++) {
    const share = ((cores.xyz[3 * i + 2] - heel.low) / heel.height - HEEL_FROM) / (HEEL_TO - HEEL_FROM);
    seen[Math.max(0, Math.min(9, Math.floor(10 * share)))] = 1;
  }
  return seen.reduce((s, v) => s + v, 0);
}

/** x of the heel's axis: half-way from its front to the joint. */
export function heelAxis(cores: Cores): number {
  let front = 0;
  for (let i = 0; i < cores.count; i++) front = Math.min(front, cores.xyz[3 * i]);
  return front / 2;
}

/** Columns: root, bend, offset x, y, z, roll, yaw. */
function heelRows(cores: Cores, heel: { readonly low: number; readonly height: number }, axis: number, centre: number): Float64Array {
  const rows = new Float64Array(COLUMNS * cores.count);
  for (let i = 0; i < cores.count; i++) {
    const [nx, ny, nz] = cores.normal.subarray(3 * i, 3 * i + 3);
    const x = cores.xyz[3 * i] - axis;
    const y = cores.xyz[3 * i + 1] - centre;
    const s = cores.xyz[3 * i + 2] - heel.low;
    const share = s / heel.height;
    rows.set([nx * s - nz * x, (nx * s * share) / 2 - nz * x * share, nx, ny, nz, nz * y - ny * s, ny * x - nx * y], COLUMNS * i);
  }
  return rows;
}

function solve(rows: Float64Array, used: Uint8Array, variance: Float64Array, distance: ArrayLike<number>, neck: NeckAbove): Float64Array {
  const equations = new NormalEquations(COLUMNS);
  for (let i = 0; i < used.length; i++) {
    if (used[i] === 0) continue;
    equations.add(rows.subarray(COLUMNS * i, COLUMNS * (i + 1)), distance[i], 1 / (variance[i] + CORE_U * CORE_U));
  }
  equations.add([1, 1, 0, 0, 0, 0, 0], neck.pitch, 1 / neck.slack ** 2);
  equations.add([0, 0, 0, 0, 1, 0, 0], neck.rise, 1 / RISE_U ** 2);
  equations.add([0, 0, 0, 0, 0, 1, 0], neck.roll, 1 / TURN_U ** 2);
  equations.add([0, 0, 0, 0, 0, 0, 1], neck.yaw, 1 / TURN_U ** 2);
  return equations.solve().coefficients;
}

function explained(rows: Float64Array, i: number, c: Float64Array): number {
  let sum = 0;
  for (let k = 0; k < COLUMNS; k++) sum += rows[COLUMNS * i + k] * c[k];
  return sum;
}
