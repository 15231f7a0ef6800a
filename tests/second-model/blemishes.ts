import { labelCode } from './patch.ts';
import type { Random } from './random.ts';
import { compact, type Sight } from './scanner.ts';

export interface Blemishes {
  /** patches without points: dark board, shining varnish */
  readonly holes: number;
  /** stray points as a share of all */
  readonly outliers: number;
  readonly clusters: number;
  /** share of points lost where the density is lowest */
  readonly thinning: number;
  /** false surface between strings and board */
  readonly webbing: 'none' | 'some';
}

export const NO_BLEMISHES: Blemishes = { holes: 0, outliers: 0, clusters: 0, thinning: 0, webbing: 'none' };

export function blemish(sight: Sight, what: Blemishes, scale: number, random: Random): Sight {
  if (Object.values(what).every((v) => v === 0 || v === 'none')) return sight;
  const count = sight.points.length / 3;
  const keep = new Uint8Array(count).fill(1);
  const board = [labelCode('board'), labelCode('boardSide')];
  const candidates: number[] = [];
  for (let i = 0; i < count; i++) if (board.includes(sight.labels[i])) candidates.push(i);
  for (let h = 0; h < what.holes; h++) {
    const at = h % 2 === 0 && candidates.length > 0 ? random.pick(candidates) : Math.floor(random.next() * count);
    const r = random.between(3, 11) * scale;
    const stretch = random.between(0.5, 1.8);
    const wave = [random.between(0, 6), random.between(2, 5)];
    const c = [0, 1, 2].map((k) => sight.points[at * 3 + k]);
    for (let i = 0; i < count; i++) {
      const x = sight.points[i * 3] - c[0];
      const y = sight.points[i * 3 + 1] - c[1];
      const z = sight.points[i * 3 + 2] - c[2];
      if (Math.abs(x) > 3 * r || Math.abs(y) > 3 * r) continue;
      const d = Math.hypot(x / stretch, y, z);
      if (d < r * (1 + 0.3 * Math.sin(wave[1] * Math.atan2(y, x) + wave[0]))) keep[i] = 0;
    }
  }
  if (what.thinning > 0) {
    const w = [1, 2, 3, 4].map(() => random.normal());
    for (let i = 0; i < count; i++) {
      const [x, y] = [sight.points[i * 3] / (90 * scale), sight.points[i * 3 + 1] / (70 * scale)];
      const f = 0.5 + 0.5 * Math.sin(w[0] * x + 2 * w[1] + w[2] * y + w[3] * x * y);
      if (random.next() < what.thinning * f) keep[i] = 0;
    }
  }
  const left = compact({ points: sight.points, normals: sight.normals, labels: sight.labels, triangles: sight.triangles, count }, keep);
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < left.points.length; i++) {
    low[i % 3] = Math.min(low[i % 3], left.points[i]);
    high[i % 3] = Math.max(high[i % 3], left.points[i]);
  }
  const extra: number[] = [];
  const codes: number[] = [];
  const stray = Math.round(what.outliers * count);
  for (let i = 0; i < stray; i++) {
    for (let c = 0; c < 3; c++) extra.push((low[c] + high[c]) / 2 + (high[c] - low[c]) * 0.75 * (2 * random.next() - 1));
    codes.push(labelCode('outlier'));
  }
  for (let k = 0; k < what.clusters; k++) {
    const c = [0, 1, 2].map((a) => (low[a] + high[a]) / 2 + (high[a] - low[a]) * 0.8 * (2 * random.next() - 1));
    const r = random.between(2, 9) * scale;
    for (let i = 0; i < 250; i++) {
      for (let a = 0; a < 3; a++) extra.push(c[a] + r * random.normal());
      codes.push(labelCode('outlier'));
    }
  }
  const films: number[] = [];
  if (what.webbing === 'some') hangFilms(left, scale, random, extra, codes, films);
  const grown = (a: Float64Array, b: readonly number[]): Float64Array => {
    const out = new Float64Array(a.length + b.length);
    out.set(a);
    out.set(b, a.length);
    return out;
  };
  const labels = new Uint8Array(left.labels.length + codes.length);
  labels.set(left.labels);
  labels.set(codes, left.labels.length);
  return {
    points: grown(left.points, extra),
    normals: grown(
      left.normals,
      extra.map((_, i) => (i % 3 === 2 ? 1 : 0)),
    ),
    labels,
    triangles: films.length > 0 ? joined(left.triangles, films) : left.triangles,
  };
}

/** ragged films that hang from a string towards the board, where a scanner bridges the gap */
function hangFilms(left: Sight, scale: number, random: Random, extra: number[], codes: number[], triangles: number[]): void {
  const strings: number[] = [];
  for (let i = 0; i < left.labels.length; i++) if (left.labels[i] === labelCode('string')) strings.push(i);
  const count = left.labels.length;
  for (let f = 0; f < 6 && strings.length > 0; f++) {
    const from = random.pick(strings) * 3;
    const reach = random.between(4, 14) * scale;
    // the same string's points along a stretch, in order
    const along = strings
      .filter(
        (s) =>
          Math.abs(left.points[s * 3] - left.points[from]) < reach &&
          Math.abs(left.points[s * 3 + 1] - left.points[from + 1]) < 1.2 * scale,
      )
      .sort((a, b) => left.points[a * 3] - left.points[b * 3]);
    let before = -1;
    let last = Number.NEGATIVE_INFINITY;
    for (const s of along) {
      const x = left.points[s * 3];
      if (x - last < 0.5 * scale) continue;
      last = x;
      const deep = random.between(1, 4.2) * scale;
      const at = count + codes.length;
      for (let j = 0; j <= 3; j++) {
        extra.push(x, left.points[s * 3 + 1] + 0.15 * scale * random.normal(), left.points[s * 3 + 2] - (deep * j) / 3);
        codes.push(labelCode('webbing'));
        if (before >= 0 && j < 3) triangles.push(before + j, before + j + 1, at + j, before + j + 1, at + j + 1, at + j);
      }
      before = at;
    }
  }
}

function joined(a: Uint32Array, b: readonly number[]): Uint32Array {
  const out = new Uint32Array(a.length + b.length);
  out.set(a);
  out.set(b, a.length);
  return out;
}
