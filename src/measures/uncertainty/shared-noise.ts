import type { Random } from '../../numerics/random.ts';
import type { ShortWave } from './short-wave.ts';

/** Noise of the scan's points as a sample of several of them has it. */
export interface PointNoise extends ShortWave {
  /** Of the points, mm. */
  readonly spacing: number;
}

/** Places whose noise is drawn together: 3n coordinates, mm, and n standard uncertainties that independent points would give, mm. */
export interface NoisyPlaces {
  readonly xyz: Float64Array;
  readonly u: Float64Array;
}

/** Neighbours farther off than this many correlation lengths have less than 1 % of a place's own weight. */
const REACH = 1.52;
/** A sample averages a compact patch at most this many correlation lengths wide as far as its neighbours are concerned: larger ones are long and narrow, and neighbours lie beside them. */
const WIDEST = 3;
/**
 * Square of the length over which neighbouring means share noise: that of the points and this part of the patch's area. Sums over means that tile a surface then have the variance that sums over its points
 * have, within some per cent, for patches from half to three correlation lengths wide.
 */
const OF_PATCH = 0.5;

/**
 * Draws of what neighbouring points of a scan share, read at samples that are means over several points: a field of covariance amplitude² exp(−d²/length²) averaged over the patch that each
 * sample stands for. A sample's u tells how many points it averages, these and their spacing the patch.
 *
 * The field is white noise at the samples, smoothed over neighbours with the square root of the covariance, and brought to the variance that the mean over the patch has: exact where samples
 * lie densely, independent where they lie far apart.
 */
export class SharedNoise {
  /** What is left of u for the independent part, mm. */
  readonly white: Float64Array;
  private readonly starts: Int32Array;
  private readonly neighbours: Int32Array;
  private readonly weights: Float64Array;

  constructor({ xyz, u }: NoisyPlaces, noise: PointNoise) {
    const n = u.length;
    const variance = noise.white ** 2 + noise.amplitude ** 2;
    const share = noise.amplitude ** 2 / variance;
    const patch = Float64Array.from(u, (v) => Math.max(1, variance / (v * v)) * noise.spacing ** 2);
    const square = noise.length ** 2;
    this.white = Float64Array.from(u, (v) => Math.sqrt(v * v - share * Math.min(v * v, variance)));
    const around = neighboursOf(xyz, REACH * noise.length * Math.sqrt(1 + OF_PATCH * WIDEST ** 2));
    const starts = new Int32Array(n + 1);
    const neighbours: number[] = [];
    const weights: number[] = [];
    for (let i = 0; i < n; i++) {
      const amplitude = noise.amplitude / Math.sqrt(1 + patch[i] / (Math.PI * square));
      let squares = 0;
      for (const j of around(i)) {
        const wide = Math.min((patch[i] + patch[j]) / 2, WIDEST ** 2 * square);
        const weight = Math.exp((-2 * squaredDistance(xyz, i, j)) / (square + OF_PATCH * wide));
        if (weight < Math.exp(-2 * REACH ** 2)) continue;
        neighbours.push(j);
        weights.push(weight);
        squares += weight * weight;
      }
      starts[i + 1] = neighbours.length;
      for (let k = starts[i]; k < neighbours.length; k++) weights[k] *= amplitude / Math.sqrt(squares);
    }
    this.starts = starts;
    this.neighbours = Int32Array.from(neighbours);
    this.weights = Float64Array.from(weights);
  }

  /** One draw of independent and shared noise together, mm. */
  draw(random: Random): Float64Array {
    const n = this.white.length;
    const own = Float64Array.from({ length: n }, () => random.normal());
    return Float64Array.from({ length: n }, (_, i) => {
      let sum = this.white[i] * random.normal();
      for (let k = this.starts[i]; k < this.starts[i + 1]; k++) sum += this.weights[k] * own[this.neighbours[k]];
      return sum;
    });
  }
}

function squaredDistance(p: Float64Array, i: number, j: number): number {
  const [x, y, z] = [p[3 * i] - p[3 * j], p[3 * i + 1] - p[3 * j + 1], p[3 * i + 2] - p[3 * j + 2]];
  return x * x + y * y + z * z;
}

/** Cells along y and z at most. */
const STRIDE = 1 << 16;

/** For each place those in its cell and the cells around it, itself among them: all within `cell`. */
function neighboursOf(p: Float64Array, cell: number): (i: number) => readonly number[] {
  const at = (i: number, k: number): number => Math.floor(p[3 * i + k] / cell);
  const key = (x: number, y: number, z: number): number => (x * STRIDE + y) * STRIDE + z;
  const cells = new Map<number, number[]>();
  for (let i = 0; 3 * i < p.length; i++) {
    const k = key(at(i, 0), at(i, 1), at(i, 2));
    const members = cells.get(k);
    if (members === undefined) cells.set(k, [i]);
    else members.push(i);
  }
  const shifts = [-1, 0, 1];
  return (i) => {
    const [x, y, z] = [at(i, 0), at(i, 1), at(i, 2)];
    return shifts.flatMap((a) => shifts.flatMap((b) => shifts.flatMap((c) => cells.get(key(x + a, y + b, z + c)) ?? [])));
  };
}
