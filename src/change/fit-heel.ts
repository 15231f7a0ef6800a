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
  /** Change of the neck's sagitta, mm, and the slope against its chord in which that ends, rad; sizes without sign. */
  readonly warp: number;
  readonly endSlope: number;
}

/** Normal deviates of what a warp does between neck and heel, which no scan shows: that of the tie, and those of both ways of reaching into the heel. */
export type WarpDraw = readonly [tie: number, front: number, top: number];
export const NO_WARP_DRAW: WarpDraw = [0, 0, 0];

/** How the heel's displacements are turned into root and bend; linear, so that it serves for simulated errors as well. */
export interface HeelFit {
  readonly used: Uint8Array;
  /** Root and bend, rad, from distances at the cores and the neck above. */
  readonly solve: (distance: Float64Array, neck: NeckAbove, draw: WarpDraw) => readonly [number, number];
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
/** Displacement by a warp that is always allowed for, mm: less is none. */
const LEAST_CARRIED = 1e-4;
/** Standard deviations of what ties the heel to the neck: yaw and roll (rad), rise of its axis (mm). */
const TURN_U = 0.001;
const RISE_U = 0.02;
/**
 * How far root and bend together may differ from the pitch of the neck's chord, standard: in rad without a warp, and as a share of the slope in which a warp ends. A neck that is held at its heel and bends
 * turns its chord by that whole slope, one whose curve dies out before the heel by nothing of it: the heel decides, where it does not contradict the second.
 */
const SLACK = 1e-4;
const HELD = 1;
const DIES_OUT = 0.1;
/** What the closer tie may cost, in χ²: two standard deviations. */
const CONTRADICTS = 4;
/**
 * Standard displacement of the heel's front, and of its top, downwards by a warp that goes on into it, share of its sagitta: half of what its end slope (4 × sagitta ÷ chord) makes over the way from the
 * stretch to the heel, a sixth of the chord.
 */
const CARRIED = 0.33;
const [FRONT, TOP] = [7, 8];
const COLUMNS = 9;

/**
 * Root and bend of the heel: with s the height above the button's lowest point and h the heel's height, its cross-section at s turns by root + bend·s/h, its axis is displaced by the
 * integral of that and a free offset; yaw and roll are those of the neck, and root + bend its pitch within what a warp leaves open.
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
    const c = solve({ rows, used, variance }, distance, neck, HELD);
    const rest = Float64Array.from(distance, (d, i) => d - explained(rows, i, c));
    const known = rest.filter((r) => !Number.isNaN(r));
    // A contour that was cut to another lean passes for a bend: by more than wood bears, and a warp of the neck leaves open.
    if (median(known.map(Math.abs)) > RECUT * size || Math.abs(c[1]) > BREAKS + neck.endSlope)
      return "the heel's surface has another shape than in the baseline: it was recut";
    const limit = Math.max(CUT * mad(known), LEAST_CUT * size);
    used = Uint8Array.from(rest, (r) => (Math.abs(r) <= limit ? 1 : 0));
  }
  const heelCores: HeelCores = { rows, used, variance };
  const cost = (share: number): number => misfit(heelCores, distance, neck, share, solve(heelCores, distance, neck, share));
  const share = cost(DIES_OUT) - cost(HELD) > CONTRADICTS ? HELD : DIES_OUT;
  return {
    used,
    solve: (d, above, [tie, front, top]) => {
      const lifted = d.map((v, i) => v + CARRIED * above.warp * (front * rows[COLUMNS * i + FRONT] + top * rows[COLUMNS * i + TOP]));
      const turned = { ...above, pitch: above.pitch + tie * slackOf(above, share) };
      const c = solve(heelCores, lifted, turned, share);
      return [c[0], c[1]];
    },
  };
}

const slackOf = ({ endSlope }: NeckAbove, share: number): number => Math.hypot(SLACK, share * endSlope);

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

/** Columns: root, bend, offset x, y, z, roll, yaw, and a warp's reach into the heel's front and top. */
function heelRows(cores: Cores, heel: { readonly low: number; readonly height: number }, axis: number, centre: number): Float64Array {
  const rows = new Float64Array(COLUMNS * cores.count);
  for (let i = 0; i < cores.count; i++) {
    const [nx, ny, nz] = cores.normal.subarray(3 * i, 3 * i + 3);
    const x = cores.xyz[3 * i] - axis;
    const y = cores.xyz[3 * i + 1] - centre;
    const s = cores.xyz[3 * i + 2] - heel.low;
    const share = s / heel.height;
    const front = cores.xyz[3 * i] / (2 * axis);
    const turns = [nx * s - nz * x, (nx * s * share) / 2 - nz * x * share];
    rows.set([...turns, nx, ny, nz, nz * y - ny * s, ny * x - nx * y, nz * front * front, nz * share * share], COLUMNS * i);
  }
  return rows;
}

/** Rows of the columns, which of them count, and the white-noise variance of the distances, mm². */
interface HeelCores {
  readonly rows: Float64Array;
  readonly used: Uint8Array;
  readonly variance: Float64Array;
}

/** What is known of the coefficients before: row, value, standard deviation. */
function ties(neck: NeckAbove, share: number): readonly (readonly [readonly number[], number, number])[] {
  const only = (k: number): number[] => Array.from({ length: COLUMNS }, (_, j) => (j === k ? 1 : 0));
  const carried = Math.max(LEAST_CARRIED, CARRIED * neck.warp);
  return [
    [only(0).with(1, 1), neck.pitch, slackOf(neck, share)],
    [only(4), neck.rise, RISE_U],
    [only(5), neck.roll, TURN_U],
    [only(6), neck.yaw, TURN_U],
    [only(FRONT), 0, carried],
    [only(TOP), 0, carried],
  ];
}

/** Sum of squares in standard deviations, of the distances and of the ties. */
function misfit({ rows, used, variance }: HeelCores, distance: Float64Array, neck: NeckAbove, share: number, c: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < used.length; i++)
    if (used[i] === 1) sum += (distance[i] - explained(rows, i, c)) ** 2 / (variance[i] + CORE_U * CORE_U);
  return ties(neck, share).reduce((s, [row, value, u]) => s + ((value - row.reduce((t, v, k) => t + v * c[k], 0)) / u) ** 2, sum);
}

function solve({ rows, used, variance }: HeelCores, distance: Float64Array, neck: NeckAbove, share: number): Float64Array {
  const equations = new NormalEquations(COLUMNS);
  for (let i = 0; i < used.length; i++) {
    if (used[i] === 0) continue;
    equations.add(rows.subarray(COLUMNS * i, COLUMNS * (i + 1)), distance[i], 1 / (variance[i] + CORE_U * CORE_U));
  }
  for (const [row, value, u] of ties(neck, share)) equations.add(row, value, 1 / u ** 2);
  return equations.solve().coefficients;
}

function explained(rows: Float64Array, i: number, c: Float64Array): number {
  let sum = 0;
  for (let k = 0; k < COLUMNS; k++) sum += rows[COLUMNS * i + k] * c[k];
  return sum;
}
