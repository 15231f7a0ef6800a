import type { Random } from './random.ts';

export type Kernel = 'gaussian' | 'exponential';

/** waves that are summed: enough for a near-Gaussian value at every place */
const WAVES = 256;
/** nodes per correlation length; what varies within a cell is interpolated away (Gaussian kernel: nothing, exponential: some 3 % of the variance) */
const NODES = { gaussian: 6, exponential: 16 } as const;

/**
 * One draw of a Gaussian random field in space with covariance amplitude²·exp(−d²/L²) or amplitude²·exp(−d/L), as a function
 * of the place (mm). Random waves (spectral method) on a grid filled where asked, cubic in between.
 */
export function drawField(amplitude: number, length: number, kernel: Kernel, random: Random): (x: number, y: number, z: number) => number {
  if (!(amplitude > 0)) return () => 0;
  const w = new Float64Array(WAVES * 4);
  for (let i = 0; i < WAVES; i++) {
    // Gaussian kernel: wave vectors N(0, 2/L²); exponential: a three-dimensional Cauchy distribution of scale 1/L
    const spread = kernel === 'gaussian' ? Math.SQRT2 / length : 1 / (length * Math.max(1e-3, Math.abs(random.normal())));
    for (let c = 0; c < 3; c++) w[i * 4 + c] = spread * random.normal();
    w[i * 4 + 3] = 2 * Math.PI * random.next();
  }
  const h = length / NODES[kernel];
  const gain = amplitude * Math.sqrt(2 / WAVES);
  const nodes = new Map<number, number>();
  const node = (i: number, j: number, k: number): number => {
    const key = (i + 4096) * 67108864 + (j + 4096) * 8192 + (k + 4096);
    const known = nodes.get(key);
    if (known !== undefined) return known;
    let sum = 0;
    for (let o = 0; o < w.length; o += 4) sum += Math.cos(w[o] * i * h + w[o + 1] * j * h + w[o + 2] * k * h + w[o + 3]);
    nodes.set(key, gain * sum);
    return gain * sum;
  };
  const cache = new Float64Array(64);
  let cached = Number.NaN;
  const wx = new Float64Array(4);
  const wy = new Float64Array(4);
  const wz = new Float64Array(4);
  return (x, y, z) => {
    const i = Math.floor(x / h);
    const j = Math.floor(y / h);
    const k = Math.floor(z / h);
    const key = (i + 4096) * 67108864 + (j + 4096) * 8192 + (k + 4096);
    if (key !== cached) {
      for (let a = 0; a < 4; a++)
        for (let b = 0; b < 4; b++) for (let c = 0; c < 4; c++) cache[a * 16 + b * 4 + c] = node(i + a - 1, j + b - 1, k + c - 1);
      cached = key;
    }
    weights(x / h - i, wx);
    weights(y / h - j, wy);
    weights(z / h - k, wz);
    let sum = 0;
    for (let a = 0; a < 4; a++)
      for (let b = 0; b < 4; b++) {
        const o = a * 16 + b * 4;
        sum += wx[a] * wy[b] * (wz[0] * cache[o] + wz[1] * cache[o + 1] + wz[2] * cache[o + 2] + wz[3] * cache[o + 3]);
      }
    return sum;
  };
}

function weights(t: number, out: Float64Array): void {
  out[0] = (-t * (t - 1) * (t - 2)) / 6;
  out[1] = ((t + 1) * (t - 1) * (t - 2)) / 2;
  out[2] = (-(t + 1) * t * (t - 2)) / 2;
  out[3] = ((t + 1) * t * (t - 1)) / 6;
}
