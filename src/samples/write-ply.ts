/** What a writer takes: coordinates in the file's unit, triangles or none. */
export interface Shape {
  readonly positions: Float64Array;
  readonly triangles: Uint32Array | undefined;
}

export type PlyEncoding = 'ascii' | 'binary_little_endian' | 'binary_big_endian';

/** A PLY file (Turk 1994) with single-precision vertices and triangle lists. */
export function writePly(shape: Shape, encoding: PlyEncoding): Uint8Array {
  const n = shape.positions.length / 3;
  const m = shape.triangles ? shape.triangles.length / 3 : 0;
  const faces = shape.triangles ? `element face ${m}\nproperty list uchar int vertex_indices\n` : '';
  const header = `ply\nformat ${encoding} 1.0\nelement vertex ${n}\nproperty float x\nproperty float y\nproperty float z\n${faces}end_header\n`;
  if (encoding === 'ascii') return new TextEncoder().encode(header + asciiBody(shape));
  const head = new TextEncoder().encode(header);
  const bytes = new Uint8Array(head.length + 12 * n + 13 * m);
  bytes.set(head);
  const view = new DataView(bytes.buffer);
  const little = encoding === 'binary_little_endian';
  let at = head.length;
  for (let i = 0; i < 3 * n; i++, at += 4) view.setFloat32(at, shape.positions[i], little);
  for (let t = 0; t < 3 * m; t += 3) {
    view.setUint8(at, 3);
    for (let k = 0; k < 3; k++) view.setInt32(at + 1 + 4 * k, (shape.triangles as Uint32Array)[t + k], little);
    at += 13;
  }
  return bytes;
}

/** Decimals of a coordinate in text. */
const DECIMALS = 5;

function asciiBody(shape: Shape): string {
  const lines: string[] = [];
  const p = shape.positions;
  for (let i = 0; i < p.length; i += 3) lines.push(`${p[i].toFixed(DECIMALS)} ${p[i + 1].toFixed(DECIMALS)} ${p[i + 2].toFixed(DECIMALS)}`);
  const t = shape.triangles;
  if (t) for (let i = 0; i < t.length; i += 3) lines.push(`3 ${t[i]} ${t[i + 1]} ${t[i + 2]}`);
  return `${lines.join('\n')}\n`;
}
