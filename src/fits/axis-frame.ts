import type { Vec3 } from '../geometry/vec3.ts';
import { cross, unit } from '../geometry/vec3.ts';

/** Two unit directions square to a unit `axis`: (a, b, axis) is right-handed. */
export function acrossAxis(axis: Vec3): { readonly a: Vec3; readonly b: Vec3 } {
  const x = Math.abs(axis[0]);
  const y = Math.abs(axis[1]);
  const z = Math.abs(axis[2]);
  const least: Vec3 = x <= y && x <= z ? [1, 0, 0] : y <= z ? [0, 1, 0] : [0, 0, 1];
  const b = unit(cross(axis, least));
  return { a: cross(b, axis), b };
}

/** Golden angle, rad. */
const GOLDEN_ANGLE = Math.PI * (3 - Math.sqrt(5));

/** `count` unit directions spread evenly over half a sphere (Fibonacci lattice): every axis is near one of them, up to sign. */
export function halfSphere(count: number): Vec3[] {
  return Array.from({ length: count }, (_, i): Vec3 => {
    const z = (i + 0.5) / count;
    const r = Math.sqrt(1 - z * z);
    return [r * Math.cos(i * GOLDEN_ANGLE), r * Math.sin(i * GOLDEN_ANGLE), z];
  });
}
