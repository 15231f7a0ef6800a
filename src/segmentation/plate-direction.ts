import type { Cloud } from '../geometry/cloud.ts';
import { cross, dot, type Vec3 } from '../geometry/vec3.ts';
import { symmetricEigen } from '../numerics/symmetric-eigen.ts';

/** Normals within 26° belong to the plates: arching stays below about 25°. */
const COS_PLATE = 0.9;
const ROUNDS = 4;

/**
 * The common normal of top and back, without sign: the axis that most of the seen surface faces, refined over the surface that faces it within 26°.
 * Good to about a degree whatever the fittings (top and back are two thirds of an instrument's surface).
 *
 * @returns three axes of the normals' scatter, the plates' normal first, then by falling share
 */
export function plateDirections(cloud: Cloud): readonly [Vec3, Vec3, Vec3] {
  const [first, second, third] = scatterAxes(cloud, () => 1);
  return [refine(cloud, first), refine(cloud, second), refine(cloud, third)];
}

function scatterAxes(cloud: Cloud, weight: (i: number) => number): readonly [Vec3, Vec3, Vec3] {
  const s = new Float64Array(9);
  const n = cloud.normals;
  for (let i = 0; i < cloud.count; i++) {
    const w = cloud.areas[i] * weight(i);
    if (w === 0) continue;
    for (let a = 0; a < 3; a++) for (let b = a; b < 3; b++) s[3 * a + b] += w * n[3 * i + a] * n[3 * i + b];
  }
  const { vectors } = symmetricEigen(s, 3);
  const axis = (r: number): Vec3 => [vectors[3 * r], vectors[3 * r + 1], vectors[3 * r + 2]];
  return [axis(2), axis(1), axis(0)];
}

function refine(cloud: Cloud, start: Vec3): Vec3 {
  let axis = start;
  for (let k = 0; k < ROUNDS; k++) {
    const n = cloud.normals;
    axis = scatterAxes(cloud, (i) =>
      Math.abs(n[3 * i] * axis[0] + n[3 * i + 1] * axis[1] + n[3 * i + 2] * axis[2]) > COS_PLATE ? 1 : 0,
    )[0];
  }
  return axis;
}

/** Two unit vectors that make a right-handed frame with `z`: u × v = z. */
export function planeAxes(z: Vec3): readonly [Vec3, Vec3] {
  const helper: Vec3 = Math.abs(z[0]) < 0.8 ? [1, 0, 0] : [0, 1, 0];
  const k = dot(helper, z);
  const raw: Vec3 = [helper[0] - k * z[0], helper[1] - k * z[1], helper[2] - k * z[2]];
  const l = Math.hypot(raw[0], raw[1], raw[2]);
  const u: Vec3 = [raw[0] / l, raw[1] / l, raw[2] / l];
  return [u, cross(z, u)];
}
