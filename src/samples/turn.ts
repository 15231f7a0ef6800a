import type { Motion } from '../geometry/motion.ts';
import type { Vec3 } from '../geometry/vec3.ts';

/**
 * Rotation by a vector (Rodrigues) about a pivot, then a shift.
 *
 * @param w  rotation vector, radians
 * @param pivot  mm
 * @param shift  mm
 */
export function turnAbout(w: Vec3, pivot: Vec3, shift: Vec3): Motion {
  const angle = Math.hypot(...w);
  const [a, b, c] = angle === 0 ? [0, 0, 1] : w.map((k) => k / angle);
  const [s, v] = [Math.sin(angle), 1 - Math.cos(angle)];
  const rows = [
    [1 - v * (b * b + c * c), v * a * b - s * c, v * a * c + s * b],
    [v * a * b + s * c, 1 - v * (a * a + c * c), v * b * c - s * a],
    [v * a * c - s * b, v * b * c + s * a, 1 - v * (a * a + b * b)],
  ];
  return Float64Array.from(rows.flatMap((r, i) => [...r, pivot[i] + shift[i] - r[0] * pivot[0] - r[1] * pivot[1] - r[2] * pivot[2]]));
}

/** The rotation vector of a motion whose turn is small against half a circle, radians. */
export function turnOf(m: Motion): Vec3 {
  const axis: Vec3 = [(m[9] - m[6]) / 2, (m[2] - m[8]) / 2, (m[4] - m[1]) / 2];
  const sine = Math.hypot(...axis);
  const factor = sine < 1e-12 ? 1 : Math.asin(Math.min(1, sine)) / sine;
  return [axis[0] * factor, axis[1] * factor, axis[2] * factor];
}
