import type { Shape } from './write-ply.ts';

/** A Wavefront OBJ with plain triangles. */
export function writeObj(shape: Shape, decimals: number): Uint8Array {
  const p = shape.positions;
  const lines = ['# model instrument'];
  for (let i = 0; i < p.length; i += 3)
    lines.push(`v ${p[i].toFixed(decimals)} ${p[i + 1].toFixed(decimals)} ${p[i + 2].toFixed(decimals)}`);
  const t = shape.triangles;
  if (t) for (let k = 0; k < t.length; k += 3) lines.push(`f ${t[k] + 1} ${t[k + 1] + 1} ${t[k + 2] + 1}`);
  lines.push('');
  return new TextEncoder().encode(lines.join('\n'));
}
