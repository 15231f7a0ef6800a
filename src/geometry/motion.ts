import type { Vec3 } from './vec3.ts';

/**
 * An affine motion, row-major 3 × 4: [r00 r01 r02 tx, r10 r11 r12 ty, r20 r21 r22 tz]. The left 3 × 3 block is a rotation,
 * times one scale where a unit is converted. Maps p to R p + t.
 */
export type Motion = Float64Array;

export const identity = (): Motion => Float64Array.of(1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0);

/** Rows are the axes of the new frame; `origin` (old coordinates) becomes zero; `scale` multiplies afterwards. */
export function motionFromAxes(x: Vec3, y: Vec3, z: Vec3, origin: Vec3, scale = 1): Motion {
  const rows = [x, y, z];
  const m = new Float64Array(12);
  for (let i = 0; i < 3; i++) {
    const r = rows[i] as Vec3;
    for (let j = 0; j < 3; j++) m[4 * i + j] = scale * (r[j] as number);
    m[4 * i + 3] = -scale * (r[0] * origin[0] + r[1] * origin[1] + r[2] * origin[2]);
  }
  return m;
}

/** The motion that first does `first`, then `second`. */
export function compose(second: Motion, first: Motion): Motion {
  const m = new Float64Array(12);
  for (let i = 0; i < 3; i++) {
    for (let j = 0; j < 4; j++) {
      let s = j === 3 ? second[4 * i + 3] : 0;
      for (let k = 0; k < 3; k++) s += second[4 * i + k] * first[4 * k + j];
      m[4 * i + j] = s;
    }
  }
  return m;
}

/** The inverse of a rotation with one scale. */
export function invert(m: Motion): Motion {
  const s2 = m[0] * m[0] + m[1] * m[1] + m[2] * m[2];
  const r = new Float64Array(12);
  for (let i = 0; i < 3; i++) for (let j = 0; j < 3; j++) r[4 * i + j] = m[4 * j + i] / s2;
  for (let i = 0; i < 3; i++) r[4 * i + 3] = -(r[4 * i] * m[3] + r[4 * i + 1] * m[7] + r[4 * i + 2] * m[11]);
  return r;
}

export function applyToPoint(m: Motion, p: Vec3): Vec3 {
  return [
    m[0] * p[0] + m[1] * p[1] + m[2] * p[2] + m[3],
    m[4] * p[0] + m[5] * p[1] + m[6] * p[2] + m[7],
    m[8] * p[0] + m[9] * p[1] + m[10] * p[2] + m[11],
  ];
}

/** Moves 3n coordinates into `target` (may be the same array). */
export function applyToPoints<T extends Float32Array | Float64Array>(m: Motion, source: ArrayLike<number>, target: T): T {
  for (let i = 0; i + 2 < source.length; i += 3) {
    const x = source[i];
    const y = source[i + 1];
    const z = source[i + 2];
    target[i] = m[0] * x + m[1] * y + m[2] * z + m[3];
    target[i + 1] = m[4] * x + m[5] * y + m[6] * z + m[7];
    target[i + 2] = m[8] * x + m[9] * y + m[10] * z + m[11];
  }
  return target;
}

/** Turns 3n directions into `target` (may be the same array); a scale in the motion is taken out. */
export function applyToDirections<T extends Float32Array | Float64Array>(m: Motion, source: ArrayLike<number>, target: T): T {
  const s = 1 / Math.hypot(m[0], m[1], m[2]);
  for (let i = 0; i + 2 < source.length; i += 3) {
    const x = source[i];
    const y = source[i + 1];
    const z = source[i + 2];
    target[i] = s * (m[0] * x + m[1] * y + m[2] * z);
    target[i + 1] = s * (m[4] * x + m[5] * y + m[6] * z);
    target[i + 2] = s * (m[8] * x + m[9] * y + m[10] * z);
  }
  return target;
}
