import type { Random } from '../numerics/random.ts';
import { PART } from './part.ts';
import type { ScanSettings, View } from './scan-settings.ts';
import type { Direction } from './visibility.ts';

const unitOf = (x: number, y: number, z: number): Direction => {
  const r = Math.hypot(x, y, z);
  return [x / r, y / r, z / r];
};

export const FROM_FRONT = (d: Direction): boolean => d[2] > -0.1;
export const FROM_BEHIND = (d: Direction): boolean => d[2] < 0.1;

/** Directions (towards the scanner) from which it looks. */
export function directionsOf(view: View): Direction[] {
  const out: Direction[] = [];
  for (let i = -1; i <= 1; i++)
    for (let j = -1; j <= 1; j++) for (let k = -1; k <= 1; k++) if (i !== 0 || j !== 0 || k !== 0) out.push(unitOf(i, j, k));
  // Low and oblique looks, as one takes them to see under the free board and round the heel.
  for (const side of [-1, 1])
    for (const [x, z] of [
      [0.55, 0.25],
      [-0.55, 0.25],
      [0.5, -0.34],
      [-0.2, -0.3],
      [0.15, -0.3],
      [0, 0.3],
      [0, 0.12],
    ])
      out.push(unitOf(x, side, z));
  for (const y of [-0.45, 0, 0.45]) out.push(unitOf(1, y, -0.26));
  out.push(unitOf(1, 0, 0.2), unitOf(-1, 0, -0.25), unitOf(0.35, 0, 1), unitOf(-0.35, 0, 1));
  if (view === 'front') return out.filter((d) => d[2] > 0.2);
  if (view === 'no-back') return out.filter((d) => d[2] > -0.05);
  return out;
}

/** Takes away what a partial scan does not hold. x = 0 is the outline's upper end. */
export function cutView(seen: Uint8Array, p: Float64Array, labels: Uint8Array, view: View, length: number): void {
  for (let i = 0; i < seen.length; i++) {
    const x = p[3 * i];
    const head = labels[i] === PART.scroll || labels[i] === PART.pegbox || labels[i] === PART.pegs;
    if (view === 'top-half' && x > 0.52 * length) seen[i] = 0;
    if (view === 'bottom-half' && x < 0.45 * length) seen[i] = 0;
    if (view === 'no-scroll' && head) seen[i] = 0;
    if (view === 'body-only' && x < -0.01 * length) seen[i] = 0;
  }
}

/** Loses round patches, mostly on the dark board, some on the varnish. */
export function punchHoles(seen: Uint8Array, p: Float64Array, labels: Uint8Array, settings: ScanSettings, random: Random): void {
  const { count, radius } = settings.holes;
  for (let h = 0; h < count; h++) {
    let centre = -1;
    for (let tries = 0; tries < 200 && centre < 0; tries++) {
      const i = Math.floor(random.uniform() * seen.length);
      const dark = labels[i] === PART.playingSurface || labels[i] === PART.boardSideBass || labels[i] === PART.boardSideTreble;
      if (seen[i] && (dark || random.uniform() < 0.2)) centre = i;
    }
    if (centre < 0) return;
    const r2 = (radius * (0.3 + 0.7 * random.uniform())) ** 2;
    const stretch = 1 + 2 * random.uniform();
    for (let i = 0; i < seen.length; i++) {
      const dx = (p[3 * i] - p[3 * centre]) / stretch;
      const dy = p[3 * i + 1] - p[3 * centre + 1];
      const dz = p[3 * i + 2] - p[3 * centre + 2];
      if (dx * dx + dy * dy + dz * dz < r2) seen[i] = 0;
    }
  }
}
