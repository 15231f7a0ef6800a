import { identity, type Motion } from '../geometry/motion.ts';
import type { Vec3 } from '../geometry/vec3.ts';
import { choleskyInPlace, choleskySolve } from '../numerics/cholesky.ts';

/** Smallest pivot of the scaled normal matrix: below it a motion is not held by the surfaces at all. */
const PIVOT = 1e-10;

/**
 * The small rigid motion that best explains displacements along normals: minimises Σ wᵢ (nᵢ·(t + ω × (pᵢ − c)) − dᵢ)², point to plane (Chen & Medioni 1992), to first order. Its matrix
 * is factored once and serves for any displacements of the same points.
 */
export class SmallMotionFit {
  private readonly rows: Float64Array;
  private readonly weights: ArrayLike<number>;
  private readonly factor: Float64Array;
  private readonly lengths: Float64Array;
  private readonly columns: number;

  /**
   * @param points  3n, mm
   * @param normals  3n unit normals
   * @param weights  n, as 1/u² up to a factor; 0 leaves a point out
   * @param centre  what ω turns about, mm
   * @param more  further columns, n values each, whose coefficients are found along with the motion
   * @throws {RangeError} where the points do not hold the motion
   */
  constructor(
    points: ArrayLike<number>,
    normals: ArrayLike<number>,
    weights: ArrayLike<number>,
    centre: Vec3,
    more: readonly ArrayLike<number>[] = [],
  ) {
    const n = weights.length;
    const columns = 6 + more.length;
    this.columns = columns;
    this.weights = weights;
    this.rows = new Float64Array(n * columns);
    for (let i = 0; i < n; i++) {
      motionRow(points, normals, i, centre, this.rows, i * columns);
      for (let k = 0; k < more.length; k++) this.rows[i * columns + 6 + k] = more[k][i];
    }
    const gram = new Float64Array(columns * columns);
    for (let i = 0; i < n; i++) {
      if (!(weights[i] > 0)) continue;
      const base = i * columns;
      for (let j = 0; j < columns; j++) {
        const wx = weights[i] * this.rows[base + j];
        for (let k = 0; k <= j; k++) gram[j * columns + k] += wx * this.rows[base + k];
      }
    }
    this.lengths = Float64Array.from({ length: columns }, (_, j) => Math.sqrt(gram[j * columns + j]));
    for (let j = 0; j < columns; j++) for (let k = 0; k <= j; k++) gram[j * columns + k] /= this.lengths[j] * this.lengths[k];
    if (!(choleskyInPlace(gram, columns, PIVOT) > PIVOT)) throw new RangeError('the surfaces seen do not hold a motion in all directions');
    this.factor = gram;
  }

  /** ω (rad, about x, y, z), t (mm), and the further coefficients, for displacements `d` (n; entries of weight 0 are not read). */
  solve(d: ArrayLike<number>): Float64Array {
    const { columns, rows, weights, lengths } = this;
    const right = new Float64Array(columns);
    for (let i = 0; i < weights.length; i++) {
      if (!(weights[i] > 0)) continue;
      const wd = weights[i] * d[i];
      const base = i * columns;
      for (let j = 0; j < columns; j++) right[j] += wd * rows[base + j];
    }
    for (let j = 0; j < columns; j++) right[j] /= lengths[j];
    const x = choleskySolve(this.factor, columns, right);
    for (let j = 0; j < columns; j++) x[j] /= lengths[j];
    return x;
  }

  /** Cofactors of all coefficients with coefficient k: covariances for displacements of variance 1/w. */
  cofactors(k: number): Float64Array {
    const { columns, lengths } = this;
    const unit = new Float64Array(columns);
    unit[k] = 1 / lengths[k];
    const x = choleskySolve(this.factor, columns, unit);
    return x.map((v, j) => v / lengths[j]);
  }

  /** What the coefficients make of point i's displacement, mm. */
  explained(coefficients: ArrayLike<number>, i: number): number {
    let s = 0;
    for (let j = 0; j < this.columns; j++) s += this.rows[i * this.columns + j] * coefficients[j];
    return s;
  }
}

/** Writes ∂(displacement along the normal) / ∂(ω, t) of point i. */
function motionRow(p: ArrayLike<number>, n: ArrayLike<number>, i: number, c: Vec3, out: Float64Array, at: number): void {
  const [x, y, z] = [p[3 * i] - c[0], p[3 * i + 1] - c[1], p[3 * i + 2] - c[2]];
  const [a, b, e] = [n[3 * i], n[3 * i + 1], n[3 * i + 2]];
  out[at] = y * e - z * b;
  out[at + 1] = z * a - x * e;
  out[at + 2] = x * b - y * a;
  out[at + 3] = a;
  out[at + 4] = b;
  out[at + 5] = e;
}

/** The rigid motion of a rotation vector about a centre and a shift: an exact rotation, never a mirror or a scale. */
export function motionOfSmall(m: ArrayLike<number>, centre: Vec3): Motion {
  const angle = Math.hypot(m[0], m[1], m[2]);
  const r = identity();
  if (angle > 0) {
    const [x, y, z] = [m[0] / angle, m[1] / angle, m[2] / angle];
    const s = Math.sin(angle);
    // 1 − cos without cancellation.
    const v = 2 * Math.sin(angle / 2) ** 2;
    const c = 1 - v;
    r.set([c + v * x * x, v * x * y - s * z, v * x * z + s * y], 0);
    r.set([v * x * y + s * z, c + v * y * y, v * y * z - s * x], 4);
    r.set([v * x * z - s * y, v * y * z + s * x, c + v * z * z], 8);
  }
  for (let k = 0; k < 3; k++)
    r[4 * k + 3] = centre[k] + m[3 + k] - r[4 * k] * centre[0] - r[4 * k + 1] * centre[1] - r[4 * k + 2] * centre[2];
  return r;
}

/** Rotation vector (rad) of a rigid motion, and the displacement of a place by it, mm. */
export function smallOfMotion(m: Motion, centre: Vec3): Float64Array {
  const axis = [(m[9] - m[6]) / 2, (m[2] - m[8]) / 2, (m[4] - m[1]) / 2];
  const sine = Math.hypot(axis[0], axis[1], axis[2]);
  const angle = Math.atan2(sine, (m[0] + m[5] + m[10] - 1) / 2);
  const f = sine > 0 ? angle / sine : 1;
  const out = new Float64Array(6);
  for (let k = 0; k < 3; k++) {
    out[k] = f * axis[k];
    out[3 + k] = m[4 * k] * centre[0] + m[4 * k + 1] * centre[1] + m[4 * k + 2] * centre[2] + m[4 * k + 3] - centre[k];
  }
  return out;
}
