import type { Random } from './random.ts';

/**
 * How the error of two places is alike: `gaussian` a² exp(−d²/L²), smooth; `exponential` a² exp(−d/L), rough at short distances and with a longer
 * reach.
 */
export type Correlation = 'gaussian' | 'exponential';

/** Nodes of the grid a correlation length: beyond the band that the correlation passes, so that the grid leaves no trace. */
const NODES_PER_LENGTH = 2.5;
/**
 * One side of the symmetrical kernel (the middle is 1) by which white noise on the nodes is smoothed along each axis. Together with the cubic B-spline
 * that reads the nodes its covariance is exp(−(d/2.5 nodes)²) within 2e-4 (found by least squares of the two).
 */
const KERNEL_SIDE = [0.69460553, 0.18607323, 0.03277108] as const;
const REACH = KERNEL_SIDE.length;
/** Degree 7 B-spline at 0, 1, 2, 3: covariance of two cubic B-splines that many nodes apart. */
const SPLINE_OVERLAP = [2416 / 5040, 1191 / 5040, 120 / 5040, 1 / 5040] as const;
/** Most nodes of the grid (memory: 8 bytes each, twice). */
const MOST_NODES = 20_000_000;

/**
 * exp(−r) as a sum of Gaussian correlations of these lengths (in L) with these weights and of white noise with the rest: within 0.01 beyond 0.2 L,
 * within 0.04 nearer (non-negative least squares over 0 … 8 L).
 */
const EXPONENTIAL_MIXTURE: readonly { readonly length: number; readonly weight: number }[] = [
  { length: 0.25, weight: 0.1848 },
  { length: 0.5, weight: 0.1261 },
  { length: 1, weight: 0.3306 },
  { length: 2, weight: 0.2745 },
  { length: 4, weight: 0.0355 },
];

/**
 * One draw of a Gaussian random field in space, read at points. Mean 0, variance amplitude², the same everywhere and in every direction: white noise on a
 * grid laid at random, smoothed along each axis and read by cubic B-splines.
 *
 * @param points  3n coordinates, mm
 * @param amplitude  standard deviation at a point, any unit; 0 gives zeros
 * @param length  correlation length L, mm, > 0
 * @returns n values in the unit of `amplitude`
 * @throws {RangeError} a negative amplitude, a length that is not above zero, a coordinate that is not finite, or a length so short against the points'
 *         extent that the grid would not fit into memory
 */
export function sampleField(
  points: ArrayLike<number>,
  amplitude: number,
  length: number,
  random: Random,
  correlation: Correlation = 'gaussian',
): Float64Array {
  if (!(amplitude >= 0 && amplitude < Number.POSITIVE_INFINITY))
    throw new RangeError(`a field needs an amplitude of zero or more, not ${amplitude}`);
  if (!(length > 0 && length < Number.POSITIVE_INFINITY))
    throw new RangeError(`a field needs a correlation length above zero, not ${length}`);
  if (points.length % 3 !== 0) throw new RangeError(`${points.length} coordinates are not a whole number of points`);
  const field = new Float64Array(points.length / 3);
  if (field.length === 0 || amplitude === 0) return field;
  if (correlation === 'gaussian') {
    addGaussian(points, amplitude, length, random, field);
    return field;
  }
  let rest = 1;
  for (const part of EXPONENTIAL_MIXTURE) {
    addGaussian(points, amplitude * Math.sqrt(part.weight), length * part.length, random, field);
    rest -= part.weight;
  }
  const white = amplitude * Math.sqrt(rest);
  for (let i = 0; i < field.length; i++) field[i] += white * random.normal();
  return field;
}

interface Grid {
  readonly nx: number;
  readonly ny: number;
  readonly nz: number;
  readonly spacing: number;
  /** Where the first node lies that splines may read, mm. */
  readonly origin: readonly [number, number, number];
}

function addGaussian(points: ArrayLike<number>, amplitude: number, length: number, random: Random, field: Float64Array): void {
  const grid = layGrid(points, length / NODES_PER_LENGTH, random);
  const smoothed = smoothedNoise(grid, random);
  readSplines(points, grid, smoothed, amplitude / noiseGain(), field);
}

/** A grid that covers the points, shifted by a random part of its spacing along each axis: no place is nearer to nodes than another on average. */
function layGrid(points: ArrayLike<number>, spacing: number, random: Random): Grid {
  const low = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
  const high = [Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (let i = 0; i < points.length; i += 3) {
    for (let k = 0; k < 3; k++) {
      const v = points[i + k];
      if (!Number.isFinite(v)) throw new RangeError('a point at which a field is asked for has a coordinate that is not finite');
      if (v < low[k]) low[k] = v;
      if (v > high[k]) high[k] = v;
    }
  }
  const origin = low.map((v) => v - spacing * (1 + random.uniform()));
  // A spline reads from the node before its cell to the second after it.
  const size = high.map((v, k) => Math.floor((v - origin[k]) / spacing) + 3);
  if (size[0] * size[1] * size[2] > MOST_NODES) {
    throw new RangeError(
      `a correlation length of ${spacing * NODES_PER_LENGTH} mm is too short for points that far apart: there it is white noise`,
    );
  }
  return { nx: size[0], ny: size[1], nz: size[2], spacing, origin: [origin[0], origin[1], origin[2]] };
}

/** White noise on the grid and `REACH` nodes round it, smoothed along x, y, z; what is left is the grid itself, x fastest. */
function smoothedNoise(grid: Grid, random: Random): Float64Array {
  const { nx, ny, nz } = grid;
  const wx = nx + 2 * REACH;
  const wy = ny + 2 * REACH;
  const wz = nz + 2 * REACH;
  const row = new Float64Array(wx);
  const alongX = new Float64Array(nx * wy * wz);
  for (let base = 0; base < alongX.length; base += nx) {
    for (let i = 0; i < wx; i++) row[i] = random.normal();
    for (let i = 0; i < nx; i++) alongX[base + i] = smoothAt(row, i + REACH, 1);
  }
  const alongY = new Float64Array(nx * ny * wz);
  for (let k = 0; k < wz; k++) {
    for (let j = 0; j < ny; j++) {
      const to = (k * ny + j) * nx;
      const from = (k * wy + j + REACH) * nx;
      for (let i = 0; i < nx; i++) alongY[to + i] = smoothAt(alongX, from + i, nx);
    }
  }
  const layer = nx * ny;
  const alongZ = new Float64Array(layer * nz);
  for (let i = 0; i < alongZ.length; i++) alongZ[i] = smoothAt(alongY, i + REACH * layer, layer);
  return alongZ;
}

function smoothAt(source: Float64Array, at: number, stride: number): number {
  return (
    source[at] +
    KERNEL_SIDE[0] * (source[at - stride] + source[at + stride]) +
    KERNEL_SIDE[1] * (source[at - 2 * stride] + source[at + 2 * stride]) +
    KERNEL_SIDE[2] * (source[at - 3 * stride] + source[at + 3 * stride])
  );
}

/** Adds the cubic B-spline with coefficients `nodes`, times `factor`, at each point. */
function readSplines(points: ArrayLike<number>, grid: Grid, nodes: Float64Array, factor: number, field: Float64Array): void {
  const { nx, ny, spacing, origin } = grid;
  const layer = nx * ny;
  const perUnit = 1 / spacing;
  const wx = new Float64Array(4);
  const wy = new Float64Array(4);
  const wz = new Float64Array(4);
  for (let p = 0; p < field.length; p++) {
    const gx = (points[3 * p] - origin[0]) * perUnit;
    const gy = (points[3 * p + 1] - origin[1]) * perUnit;
    const gz = (points[3 * p + 2] - origin[2]) * perUnit;
    const ix = Math.floor(gx);
    const iy = Math.floor(gy);
    const iz = Math.floor(gz);
    splineWeights(gx - ix, wx);
    splineWeights(gy - iy, wy);
    splineWeights(gz - iz, wz);
    const w0 = wx[0];
    const w1 = wx[1];
    const w2 = wx[2];
    const w3 = wx[3];
    let sum = 0;
    for (let c = 0; c < 4; c++) {
      for (let b = 0; b < 4; b++) {
        const at = (iz - 1 + c) * layer + (iy - 1 + b) * nx + ix - 1;
        sum += wz[c] * wy[b] * (w0 * nodes[at] + w1 * nodes[at + 1] + w2 * nodes[at + 2] + w3 * nodes[at + 3]);
      }
    }
    field[p] += factor * sum;
  }
}

/** Cubic B-spline weights of the nodes at −1, 0, 1, 2 for a place t ∈ [0, 1) past node 0. */
function splineWeights(t: number, w: Float64Array): void {
  const s = 1 - t;
  w[0] = (s * s * s) / 6;
  w[3] = (t * t * t) / 6;
  w[1] = 2 / 3 - t * t * (1 - t / 2);
  w[2] = 2 / 3 - s * s * (1 - s / 2);
}

/** Standard deviation of the field for white noise of unit variance, over all places in a cell: the same along each axis, hence the cube. */
function noiseGain(): number {
  const kernel = [...KERNEL_SIDE.toReversed(), 1, ...KERNEL_SIDE];
  let variance = 0;
  for (let i = 0; i < kernel.length; i++) {
    for (let j = 0; j < kernel.length; j++) variance += kernel[i] * kernel[j] * (SPLINE_OVERLAP[Math.abs(i - j)] ?? 0);
  }
  return variance ** 1.5;
}
