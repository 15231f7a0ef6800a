import { SmallMotionFit } from '../../../src/fits/small-motion.ts';
import type { Vec3 } from '../../../src/geometry/vec3.ts';
import { NormalEquations } from '../../../src/numerics/normal-equations.ts';
import { type Correlation, sampleField } from '../../../src/numerics/random-field.ts';
import type { Random } from '../../../src/numerics/random.ts';
import { type FloorBins, floorBins, type FloorKind, subset } from './floor-bins.ts';

/** Noise-free points of one scan, what they lie on, and the noise that was laid on them; the baseline's instrument frame, mm. */
export interface FloorScan {
  /** 3n coordinates and outward unit normals. */
  readonly points: ArrayLike<number>;
  readonly normals: ArrayLike<number>;
  readonly kindOf: (i: number) => FloorKind | undefined;
  readonly noise: { readonly sigma: number; readonly amplitude: number; readonly length: number; readonly correlation: Correlation };
}

/** Where things are in the baseline, mm, from the model's truth. */
export interface FloorSite {
  readonly nutX: number;
  /** y and z of the board line's point at x = 0, and its slope. */
  readonly joint: Vec3;
  readonly slope: number;
  readonly boardEnd: number;
  readonly station: number;
  /** The heel's lowest point and height. */
  readonly low: number;
  readonly height: number;
}

/** Errors by change, one each draw; a change whose parts the scan does not show has none. */
export type FloorDraws = ReadonlyMap<string, Float64Array>;

/** The stretch of the neck whose wood tells its motion, shares of its length from the nut, and of the heel's height (measurands.md). */
const WOOD = [0.15, 0.75] as const;
const HEEL = [0.1, 0.6] as const;
/** Draws: a 95th percentile is then known to a tenth. */
const DRAWS = 60;
/** Half-width of the ridge, and radius of the patch at the station, mm. */
const RIDGE = 4;
const PATCH = 12;
const FEWEST = 12;
const DEGREES = 180 / Math.PI;

/**
 * What least squares along the true normals, at the scan's own points with their true labels and surfaces, errs by under the scan's noise.
 *
 * @param endSlope  of the warp between the two scans, rad: by so much, standard, the heel's turn may differ from that of the neck's chord; 0 without a warp
 */
export function floorDraws(scan: FloorScan, site: FloorSite, endSlope: number, stream: Random): FloorDraws {
  const bins = floorBins(scan.points, scan.normals, scan.kindOf);
  const parts = solvers(bins, site, endSlope);
  const draws = new Map<string, number[]>();
  for (let k = 0; k < DRAWS; k++) {
    const errors = drawn(bins, scan, stream);
    for (const solve of parts) {
      for (const [id, value] of solve(errors)) {
        const row = draws.get(id);
        if (row === undefined) draws.set(id, [value]);
        else row.push(value);
      }
    }
  }
  return new Map([...draws].map(([id, row]) => [id, Float64Array.from(row)]));
}

/** 95th percentile of |later − baseline| for each change that both scans show. */
export function pairFloor(baseline: FloorDraws, later: FloorDraws): Map<string, number> {
  const floors = new Map<string, number>();
  for (const [id, b] of baseline) {
    const l = later.get(id);
    if (l === undefined) continue;
    const sizes = l.map((v, k) => Math.abs(v - b[k])).sort();
    floors.set(id, sizes[Math.ceil(0.95 * sizes.length) - 1] as number);
  }
  return floors;
}

function drawn(bins: FloorBins, { noise }: FloorScan, stream: Random): Float64Array {
  const field = sampleField(bins.xyz, noise.amplitude, noise.length, stream, noise.correlation);
  return field.map((f, i) => f + (noise.sigma * stream.normal()) / Math.sqrt(bins.points[i]));
}

type Solver = (errors: Float64Array) => readonly (readonly [string, number])[];

function solvers(bins: FloorBins, site: FloorSite, endSlope: number): Solver[] {
  const neck = neckSolver(bins, site, endSlope);
  const projection = projectionSolver(bins, site);
  return [...(neck === undefined ? [] : [neck]), ...(projection === undefined ? [] : [projection])];
}

/** Columns of the neck with its heel: its motion (6), warp, root, bend, the heel's free offset (3). */
const NECK_COLUMNS = 12;
const [WARP, ROOT, BEND, OFFSET] = [6, 7, 8, 9];

function neckSolver(bins: FloorBins, site: FloorSite, endSlope: number): Solver | undefined {
  const body = subset(bins, (i) => bins.kind[i] === 'body');
  const { nutX, low, height } = site;
  const wood = subset(bins, (i) => bins.kind[i] === 'neck' && between(1 - bins.xyz[3 * i] / nutX, WOOD));
  const heel = subset(bins, (i) => bins.kind[i] === 'heel' && between((bins.xyz[3 * i + 2] - low) / height, HEEL));
  if (body.length < FEWEST || wood.length < FEWEST) return undefined;
  const of = (ids: readonly number[], v: Float64Array) =>
    Float64Array.from({ length: 3 * ids.length }, (_, k) => v[3 * ids[Math.floor(k / 3)] + (k % 3)]);
  const weights = Float64Array.from(body, (i) => bins.points[i]);
  const bodyFit = new SmallMotionFit(of(body, bins.xyz), of(body, bins.normal), weights, site.joint);
  const front = heel.reduce((least, i) => Math.min(least, bins.xyz[3 * i]), 0);
  const rows = [
    ...wood.map((i) => ({ i, row: woodRow(bins, i, site, endSlope > 0) })),
    ...(heel.length < FEWEST ? [] : heel.map((i) => ({ i, row: heelRow(bins, i, site, front / 2) }))),
  ];
  const hasHeel = rows.length > wood.length;
  return (errors) => {
    const moved = bodyFit.solve(Float64Array.from(body, (i) => errors[i]));
    const equations = new NormalEquations(NECK_COLUMNS);
    for (const { i, row } of rows) equations.add(row, errors[i], bins.points[i]);
    hold(equations, hasHeel, endSlope);
    const { coefficients: c } = equations.solve();
    const rel = c.slice(0, 6).map((v, k) => v - moved[k]);
    return [
      ['neckRoll', rel[0] * DEGREES],
      ['neckPitch', rel[1] * DEGREES],
      ['neckYaw', rel[2] * DEGREES],
      ['neckShift.x', rel[3]],
      ['neckShift.y', rel[4]],
      ['neckShift.z', rel[5]],
      ...(endSlope > 0 ? ([['neckBend', c[WARP]]] as const) : []),
      ['projectionByNeck', rel[5] - rel[1] * site.station],
      ...(hasHeel
        ? ([
            ['heelRootRotation', (c[ROOT] - moved[1]) * DEGREES],
            ['heelBend', c[BEND] * DEGREES],
          ] as const)
        : []),
    ];
  };
}

/** Weight of what holds exactly, far above that of all points together. */
const EXACT = 1e12;
/** The sum of root and bend without a warp, standard, rad. */
const NO_WARP = 1e-5;

function hold(equations: NormalEquations, hasHeel: boolean, endSlope: number): void {
  const only = (...ks: readonly (readonly [number, number])[]) => {
    const row = new Float64Array(NECK_COLUMNS);
    for (const [k, v] of ks) row[k] = v;
    return row;
  };
  if (endSlope === 0) equations.add(only([WARP, 1]), 0, EXACT);
  if (hasHeel) {
    // In the points' own weights: those are counts, of errors of some hundredths of a millimetre.
    const tie = (0.03 / Math.max(NO_WARP, endSlope)) ** 2;
    equations.add(only([ROOT, 1], [BEND, 1], [1, -1]), 0, tie);
  } else for (const k of [ROOT, BEND, OFFSET, OFFSET + 1, OFFSET + 2]) equations.add(only([k, 1]), 0, EXACT);
}

const between = (v: number, [from, to]: readonly [number, number]): boolean => v >= from && v <= to;

function woodRow(bins: FloorBins, i: number, site: FloorSite, warps: boolean): Float64Array {
  const row = new Float64Array(NECK_COLUMNS);
  const [x, y, z] = [0, 1, 2].map((k) => bins.xyz[3 * i + k] - site.joint[k]);
  const [a, b, c] = bins.normal.subarray(3 * i, 3 * i + 3);
  row.set([y * c - z * b, z * a - x * c, x * b - y * a, a, b, c]);
  const [from, to] = WOOD.map((share) => site.nutX * (1 - share));
  const xi = (2 * x - from - to) / (to - from);
  if (warps) row[WARP] = (1 - xi * xi) * (site.slope * a - c);
  return row;
}

/** @param axis  x of the heel's axis, half-way from its front to the joint */
function heelRow(bins: FloorBins, i: number, site: FloorSite, axis: number): Float64Array {
  const row = new Float64Array(NECK_COLUMNS);
  const x = bins.xyz[3 * i] - axis;
  const y = bins.xyz[3 * i + 1] - site.joint[1];
  const s = bins.xyz[3 * i + 2] - site.low;
  const share = s / site.height;
  const [a, b, c] = bins.normal.subarray(3 * i, 3 * i + 3);
  row[0] = y * c - s * b;
  row[2] = x * b - y * a;
  row[ROOT] = a * s - c * x;
  row[BEND] = (a * s * share) / 2 - c * x * share;
  row.set([a, b, c], OFFSET);
  return row;
}

/** The board line by a parabola along the ridge, and the top at the station. */
function projectionSolver(bins: FloorBins, site: FloorSite): Solver | undefined {
  const { xyz } = bins;
  const [from, to] = [site.nutX + 2, site.boardEnd - 2];
  const ridge = subset(
    bins,
    (i) => bins.kind[i] === 'board' && Math.abs(xyz[3 * i + 1] - site.joint[1]) < RIDGE && between(xyz[3 * i], [from, to]),
  );
  const top = subset(bins, (i) => bins.kind[i] === 'body' && bins.normal[3 * i + 2] > 0.5 && isNear(xyz, i, site.station));
  if (ridge.length < FEWEST || top.length < 3) return undefined;
  const middle = (from + to) / 2;
  return (errors) => {
    const equations = new NormalEquations(3);
    for (const i of ridge) {
      const t = xyz[3 * i] - middle;
      equations.add([1, t, t * t], errors[i] / bins.normal[3 * i + 2], bins.points[i]);
    }
    const { coefficients: c } = equations.solve();
    const at = (x: number) => c[0] + c[1] * (x - middle) + c[2] * (x - middle) ** 2;
    const line = at(to) + ((at(to) - at(from)) * (site.station - to)) / (to - from);
    const weight = top.reduce((sum, i) => sum + bins.points[i], 0);
    const height = top.reduce((sum, i) => sum + (bins.points[i] * errors[i]) / bins.normal[3 * i + 2], 0) / weight;
    return [['d projection', line - height]];
  };
}

const isNear = (xyz: Float64Array, i: number, x: number): boolean => Math.hypot(xyz[3 * i] - x, xyz[3 * i + 1]) < PATCH;
