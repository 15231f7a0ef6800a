import type { Shape } from './write-ply.ts';

/** A text cloud, one point a line, separated by blanks. */
export function writeXyz(shape: Shape, decimals: number): Uint8Array {
  const p = shape.positions;
  const lines: string[] = [];
  for (let i = 0; i < p.length; i += 3) lines.push(`${p[i].toFixed(decimals)} ${p[i + 1].toFixed(decimals)} ${p[i + 2].toFixed(decimals)}`);
  return new TextEncoder().encode(`${lines.join('\n')}\n`);
}
