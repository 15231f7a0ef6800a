/** Rigid motions p → r·p + t in an instrument's frame, mm and radians. */
export interface Rigid {
  /** rows */
  readonly r: readonly number[];
  readonly t: readonly number[];
}

export const STAY: Rigid = { r: [1, 0, 0, 0, 1, 0, 0, 0, 1], t: [0, 0, 0] };

export function applyRigid(m: Rigid, x: number, y: number, z: number, out: Float64Array): void {
  const { r, t } = m;
  out[0] = r[0] * x + r[1] * y + r[2] * z + t[0];
  out[1] = r[3] * x + r[4] * y + r[5] * z + t[1];
  out[2] = r[6] * x + r[7] * y + r[8] * z + t[2];
}

/** first b, then a */
export function compose(a: Rigid, b: Rigid): Rigid {
  const r: number[] = [];
  const t: number[] = [];
  for (let i = 0; i < 3; i++) {
    for (let j = 0; j < 3; j++) r.push(a.r[i * 3] * b.r[j] + a.r[i * 3 + 1] * b.r[3 + j] + a.r[i * 3 + 2] * b.r[6 + j]);
    t.push(a.r[i * 3] * b.t[0] + a.r[i * 3 + 1] * b.t[1] + a.r[i * 3 + 2] * b.t[2] + a.t[i]);
  }
  return { r, t };
}

export function inverse(m: Rigid): Rigid {
  const { r, t } = m;
  const back = [r[0], r[3], r[6], r[1], r[4], r[7], r[2], r[5], r[8]];
  return { r: back, t: [0, 1, 2].map((i) => -(back[i * 3] * t[0] + back[i * 3 + 1] * t[1] + back[i * 3 + 2] * t[2])) };
}

/** rotation by the vector (radians) about a point, then a shift */
export function turn(vector: readonly number[], about: readonly number[], shift: readonly number[] = [0, 0, 0]): Rigid {
  const a = Math.hypot(vector[0], vector[1], vector[2]);
  const [x, y, z] = vector;
  const s = a < 1e-9 ? 1 : Math.sin(a) / a;
  const c = a < 1e-9 ? 0.5 : (1 - Math.cos(a)) / (a * a);
  const r = [
    1 - c * (y * y + z * z),
    c * x * y - s * z,
    c * x * z + s * y,
    c * x * y + s * z,
    1 - c * (x * x + z * z),
    c * y * z - s * x,
    c * x * z - s * y,
    c * y * z + s * x,
    1 - c * (x * x + y * y),
  ];
  const moved = [0, 1, 2].map((i) => r[i * 3] * about[0] + r[i * 3 + 1] * about[1] + r[i * 3 + 2] * about[2]);
  return { r, t: about.map((v, i) => v - moved[i] + shift[i]) };
}

/** rotation vector, radians (angles well below a half turn) */
export function rotationVector(m: Rigid): readonly [number, number, number] {
  const { r } = m;
  const v = [(r[7] - r[5]) / 2, (r[2] - r[6]) / 2, (r[3] - r[1]) / 2] as const;
  const s = Math.hypot(v[0], v[1], v[2]);
  const f = s < 1e-12 ? 1 : Math.asin(Math.min(1, s)) / s;
  return [v[0] * f, v[1] * f, v[2] * f];
}
