import { applyRigid, compose, type Rigid, STAY, turn } from './rigid.ts';

/** least-squares rigid motion from points to points, by Gauss–Newton with finite steps: a check by other means than the truth's */
export function fitRigid(from: Float64Array, to: Float64Array): Rigid {
  let motion = STAY;
  const p = new Float64Array(3);
  const n = from.length / 3;
  for (let round = 0; round < 8; round++) {
    const [a, b] = [new Float64Array(3), new Float64Array(3)];
    const now = new Float64Array(from.length);
    for (let i = 0; i < n; i++) {
      applyRigid(motion, from[i * 3], from[i * 3 + 1], from[i * 3 + 2], p);
      now.set(p, i * 3);
      for (let c = 0; c < 3; c++) {
        a[c] += p[c] / n;
        b[c] += to[i * 3 + c] / n;
      }
    }
    // moment of the differences over the tensor of inertia, by relaxation over the three axes
    const w = [0, 0, 0];
    for (let sweep = 0; sweep < 60; sweep++)
      for (let c = 0; c < 3; c++) {
        const [u, v] = [(c + 1) % 3, (c + 2) % 3];
        let [moment, inertia] = [0, 0];
        for (let i = 0; i < n; i++) {
          const r = [0, 1, 2].map((k) => now[i * 3 + k] - a[k]);
          const d = [0, 1, 2].map((k) => to[i * 3 + k] - b[k] - r[k]);
          const e = [d[0] - (w[1] * r[2] - w[2] * r[1]), d[1] - (w[2] * r[0] - w[0] * r[2]), d[2] - (w[0] * r[1] - w[1] * r[0])];
          moment += r[u] * e[v] - r[v] * e[u];
          inertia += r[u] ** 2 + r[v] ** 2;
        }
        w[c] += moment / inertia;
      }
    motion = compose(
      turn(
        w,
        [...a],
        [0, 1, 2].map((c) => b[c] - a[c]),
      ),
      motion,
    );
  }
  return motion;
}
