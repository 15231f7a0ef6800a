import type { Vec3 } from '../geometry/vec3.ts';
import type { Neck } from './neck.ts';

/** Rounds of the fixed point: each leaves at most a fifth of the error, since the neck is turned by ten degrees at most. */
const ROUNDS = 40;

/** Drawing coordinates of the body (as distorted) back to neck coordinates. */
export function toNeck(neck: Neck, p: Vec3): Vec3 {
  const q = new Float64Array(p);
  const r = new Float64Array(3);
  for (let k = 0; k < ROUNDS; k++) {
    r.set(q);
    neck.place(r);
    for (let c = 0; c < 3; c++) q[c] += p[c] - r[c];
  }
  return [q[0], q[1], q[2]];
}
