import type { Motion } from '../geometry/motion.ts';
import { symmetricEigen } from '../numerics/symmetric-eigen.ts';
import { weightedScatter } from './scatter.ts';

export interface OrientationFit {
  /** Takes `from` to `to`: a rotation (determinant +1, scale 1) and a shift, mm. */
  readonly motion: Motion;
  /**
   * 6 × 6 row-major covariance of a small further motion in `to`'s coordinates: rotation vector about the centroid of `to` (rad), shift of that centroid
   * (mm). Infinite on the diagonal without degrees of freedom.
   */
  readonly covariance: Float64Array;
  /** Residual a coordinate, with 3n − 6 degrees of freedom, mm. */
  readonly rms: number;
  readonly n: number;
  readonly reason: 'closed form';
}

/** Second moment of the points relative to the first below which they lie on a line, about which they can spin: rounding of the moments. */
const COLLINEAR = 1e-14;
/** Gap between the two best eigenvalues, relative to their size, below which two rotations serve equally well. */
const AMBIGUOUS = 1e-12;

/**
 * Absolute orientation: the rigid motion (no scale, never a mirror) that minimises Σ wᵢ |R fromᵢ + t − toᵢ|². By unit quaternions, so R is a rotation
 * even where a mirror image would fit better.
 *
 * @param from  3n coordinates, mm, n ≥ 3
 * @param to  3n coordinates, mm, in the same order
 * @param weights  n weights ≥ 0, as 1/u² up to a factor
 * @throws {RangeError} sizes that do not match, fewer than 3 points with weight, points on a line, or two rotations that fit equally well
 * @see Horn, J. Opt. Soc. Am. A 4 (1987) 629; Umeyama, IEEE PAMI 13 (1991) 376
 */
export function absoluteOrientation(from: ArrayLike<number>, to: ArrayLike<number>, weights?: ArrayLike<number>): OrientationFit {
  if (from.length !== to.length) throw new RangeError(`${from.length / 3} points cannot be paired with ${to.length / 3}`);
  const a = weightedScatter(from, 3, weights);
  const b = weightedScatter(to, 3, weights);
  if (a.count < 3) throw new RangeError(`a rigid motion needs at least 3 points with weight, ${a.count} given`);
  for (const { moments } of [a, b]) {
    const { values } = symmetricEigen(moments, 3);
    if (!(values[1] > COLLINEAR * values[2])) throw new RangeError('the points lie on one line: they can spin about it');
  }
  const r = rotation(crossMoments(from, to, weights, a.centroid, b.centroid));
  const motion = new Float64Array(12);
  for (let i = 0; i < 3; i++) {
    let shift = b.centroid[i];
    for (let j = 0; j < 3; j++) {
      motion[4 * i + j] = r[3 * i + j];
      shift -= r[3 * i + j] * a.centroid[j];
    }
    motion[4 * i + 3] = shift;
  }
  const dof = 3 * a.count - 6;
  const residual = dof > 0 ? residualSum(from, to, weights, motion) : 0;
  return {
    motion,
    covariance: covariance(b.moments, b.weight, dof > 0 ? residual / dof : Number.POSITIVE_INFINITY),
    rms: dof > 0 ? Math.sqrt((residual / dof / a.weight) * a.count) : 0,
    n: a.count,
    reason: 'closed form',
  };
}

/** Σ w (from − c)(to − d)ᵀ, 3 × 3 row-major. */
function crossMoments(
  from: ArrayLike<number>,
  to: ArrayLike<number>,
  weights: ArrayLike<number> | undefined,
  c: Float64Array,
  d: Float64Array,
): Float64Array {
  const s = new Float64Array(9);
  for (let i = 0; 3 * i < from.length; i++) {
    const w = weights === undefined ? 1 : weights[i];
    for (let j = 0; j < 3; j++) for (let k = 0; k < 3; k++) s[3 * j + k] += w * (from[3 * i + j] - c[j]) * (to[3 * i + k] - d[k]);
  }
  return s;
}

/** The rotation whose quaternion is the eigenvector of Horn's 4 × 4 matrix with the greatest eigenvalue. */
function rotation(s: Float64Array): Float64Array {
  const [xx, xy, xz, yx, yy, yz, zx, zy, zz] = s;
  // biome-ignore format: a matrix reads as rows
  const matrix = [
    xx + yy + zz, yz - zy, zx - xz, xy - yx,
    yz - zy, xx - yy - zz, xy + yx, zx + xz,
    zx - xz, xy + yx, yy - xx - zz, yz + zy,
    xy - yx, zx + xz, yz + zy, zz - xx - yy,
  ];
  const { values, vectors } = symmetricEigen(matrix, 4);
  if (!(values[3] - values[2] > AMBIGUOUS * Math.abs(values[3])))
    throw new RangeError('two rotations bring the points together equally well');
  const [w, x, y, z] = vectors.subarray(12);
  // biome-ignore format: a matrix reads as rows
  return Float64Array.of(
    w * w + x * x - y * y - z * z, 2 * (x * y - w * z), 2 * (x * z + w * y),
    2 * (x * y + w * z), w * w - x * x + y * y - z * z, 2 * (y * z - w * x),
    2 * (x * z - w * y), 2 * (y * z + w * x), w * w - x * x - y * y + z * z,
  );
}

function residualSum(from: ArrayLike<number>, to: ArrayLike<number>, weights: ArrayLike<number> | undefined, m: Motion): number {
  let sum = 0;
  for (let i = 0; 3 * i < from.length; i++) {
    const w = weights === undefined ? 1 : weights[i];
    for (let k = 0; k < 3; k++) {
      const moved = m[4 * k] * from[3 * i] + m[4 * k + 1] * from[3 * i + 1] + m[4 * k + 2] * from[3 * i + 2] + m[4 * k + 3];
      sum += w * (moved - to[3 * i + k]) ** 2;
    }
  }
  return sum;
}

/** Rotations: noise × inverse of Σ w (|v|² I − v vᵀ), by its own axes; shifts: noise / Σ w. */
function covariance(moments: Float64Array, weight: number, noise: number): Float64Array {
  const { values, vectors } = symmetricEigen(moments, 3);
  const total = values[0] + values[1] + values[2];
  const out = new Float64Array(36);
  for (let i = 0; i < 3; i++) {
    out[7 * (i + 3)] = noise / weight;
    for (let j = 0; j < 3; j++) {
      let s = 0;
      for (let k = 0; k < 3; k++) s += (vectors[3 * k + i] * vectors[3 * k + j]) / (total - values[k]);
      out[6 * i + j] = noise === Number.POSITIVE_INFINITY ? (i === j ? noise : 0) : noise * s;
    }
  }
  return out;
}
