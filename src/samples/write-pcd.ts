import type { Shape } from './write-ply.ts';

/** A PCD 0.7 cloud with x, y, z in single precision. */
export function writePcd(shape: Shape, encoding: 'ascii' | 'binary', decimals: number): Uint8Array {
  const p = shape.positions;
  const n = p.length / 3;
  const header = `# .PCD v0.7 - Point Cloud Data file format\nVERSION 0.7\nFIELDS x y z\nSIZE 4 4 4\nTYPE F F F\nCOUNT 1 1 1\nWIDTH ${n}\nHEIGHT 1\nVIEWPOINT 0 0 0 1 0 0 0\nPOINTS ${n}\nDATA ${encoding}\n`;
  const head = new TextEncoder().encode(header);
  if (encoding === 'ascii') {
    const lines: string[] = [];
    for (let i = 0; i < p.length; i += 3)
      lines.push(`${p[i].toFixed(decimals)} ${p[i + 1].toFixed(decimals)} ${p[i + 2].toFixed(decimals)}`);
    return new TextEncoder().encode(`${header}${lines.join('\n')}\n`);
  }
  const bytes = new Uint8Array(head.length + 4 * p.length);
  bytes.set(head);
  const view = new DataView(bytes.buffer, head.length);
  for (let i = 0; i < p.length; i++) view.setFloat32(4 * i, p[i], true);
  return bytes;
}
