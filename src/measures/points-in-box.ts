import type { Cloud } from '../geometry/cloud.ts';

/** Limits along x, y, z in mm; a side left out is open. */
export interface Box {
  readonly x: readonly [number, number];
  readonly y: readonly [number, number];
  readonly z: readonly [number, number];
}

/**
 * Which way a surface may face: the least cosine of its normal to one axis, whatever its sign. Signs are not used even of a mesh: patches of one mesh may be wound
 * either way.
 */
export interface Facing {
  readonly axis: 'x' | 'y' | 'z';
  readonly least: number;
}

const AXES = { x: 0, y: 1, z: 2 } as const;

/** Indices of the points inside `box`, in the cloud's order, optionally of those only that face a way. */
export function pointsInBox(cloud: Cloud, box: Box, facing?: Facing): Uint32Array {
  const p = cloud.positions;
  const found: number[] = [];
  const axis = facing === undefined ? 0 : AXES[facing.axis];
  for (let i = 0; i < cloud.count; i++) {
    const x = p[3 * i];
    if (x < box.x[0] || x > box.x[1]) continue;
    const y = p[3 * i + 1];
    if (y < box.y[0] || y > box.y[1]) continue;
    const z = p[3 * i + 2];
    if (z < box.z[0] || z > box.z[1]) continue;
    if (facing !== undefined && Math.abs(cloud.normals[3 * i + axis]) < facing.least) continue;
    found.push(i);
  }
  return Uint32Array.from(found);
}
