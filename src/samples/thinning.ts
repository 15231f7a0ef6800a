import type { Random } from '../numerics/random.ts';
import { sampleField } from '../numerics/random-field.ts';
import { PART } from './part.ts';
import type { ScanSettings } from './scan-settings.ts';

/** Normals in one cell may differ by this (cosine, 12°) where points are merged adaptively. */
const FLAT = Math.cos((12 * Math.PI) / 180);
/** What is scanned from nearer where `nearCell` is given. */
const NEAR: ReadonlySet<number> = new Set([
  PART.edge,
  PART.button,
  PART.playingSurface,
  PART.boardSideBass,
  PART.boardSideTreble,
  PART.boardEnd,
  PART.boardArris,
  PART.nut,
  PART.neck,
  PART.heel,
  PART.fillet,
]);

/**
 * Which points stand for which after thinning: `keep[i]` is the point that i is merged into (itself when it stays), −1 when it is dropped.
 * No point moves: those that stay are the scan's own.
 */
export function thin(
  p: ArrayLike<number>,
  normals: ArrayLike<number>,
  labels: ArrayLike<number>,
  settings: ScanSettings['thinning'],
  random: Random,
): Int32Array {
  const n = labels.length;
  if (settings.kind === 'none') return Int32Array.from({ length: n }, (_, i) => i);
  if (settings.kind === 'patchy') return thinPatchy(p, n, settings.cell, random);
  const { cell, nearCell } = settings;
  const { cellOf, cells } = hash(p, n, (i) => (nearCell !== undefined && NEAR.has(labels[i]) ? nearCell : cell));
  const adaptive = settings.kind === 'adaptive';
  const first = new Int32Array(cells).fill(-1);
  const mean = new Float64Array(3 * cells);
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < 3; k++) mean[3 * cellOf[i] + k] += normals[3 * i + k];
  }
  // A cell is flat when all its normals agree with their mean and all its points lie on one part.
  const flat = new Uint8Array(cells).fill(1);
  const label = new Int32Array(cells).fill(-1);
  for (let i = 0; i < n; i++) {
    const c = cellOf[i];
    const r = Math.hypot(mean[3 * c], mean[3 * c + 1], mean[3 * c + 2]);
    const cos = (mean[3 * c] * normals[3 * i] + mean[3 * c + 1] * normals[3 * i + 1] + mean[3 * c + 2] * normals[3 * i + 2]) / (r || 1);
    if (label[c] < 0) label[c] = labels[i];
    if (cos < FLAT || label[c] !== labels[i]) flat[c] = 0;
  }
  const keep = new Int32Array(n);
  for (let i = 0; i < n; i++) {
    const c = cellOf[i];
    if (adaptive && !flat[c]) {
      keep[i] = i;
      continue;
    }
    if (first[c] < 0) first[c] = i;
    keep[i] = first[c];
  }
  return keep;
}

function hash(p: ArrayLike<number>, n: number, cellAt: (i: number) => number): { cellOf: Uint32Array; cells: number } {
  const index = new Map<number, number>();
  const cellOf = new Uint32Array(n);
  for (let i = 0; i < n; i++) {
    const cell = cellAt(i);
    const a = Math.floor(p[3 * i] / cell) + 30000;
    const b = Math.floor(p[3 * i + 1] / cell) + 30000;
    const c = Math.floor(p[3 * i + 2] / cell) + 30000;
    const key = (a * 65536 + b) * 65536 + c;
    let at = index.get(key);
    if (at === undefined) {
      at = index.size;
      index.set(key, at);
    }
    cellOf[i] = at;
  }
  return { cellOf, cells: index.size };
}

/** Keeps between an eighth and all points, by a field that wanders over some cells. */
function thinPatchy(p: ArrayLike<number>, n: number, cell: number, random: Random): Int32Array {
  const field = sampleField(p, 1, 10 * cell, random.fork('density'));
  return Int32Array.from({ length: n }, (_, i) => (random.uniform() < Math.min(1, Math.max(0.12, 0.55 + 0.35 * field[i])) ? i : -1));
}
