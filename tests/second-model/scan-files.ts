/** A scan as the bytes of a common format. */
export type Format = 'ply' | 'stl' | 'obj' | 'pcd' | 'xyz';

export function scanBytes(format: Format, positions: Float64Array, triangles: Uint32Array | undefined): Buffer {
  if (format === 'ply') return ply(positions, triangles);
  if (format === 'pcd') return pcd(positions);
  if (format === 'xyz') return xyz(positions);
  if (!triangles) throw new RangeError(`${format} holds a mesh, this scan is a cloud`);
  return format === 'stl' ? stl(positions, triangles) : obj(positions, triangles);
}

/** doubles where single precision would cost a thousandth of the scan's detail */
function needsDoubles(positions: Float64Array): boolean {
  let [low, high, far] = [Infinity, -Infinity, 0];
  for (let i = 0; i < positions.length; i++) {
    low = Math.min(low, positions[i]);
    high = Math.max(high, positions[i]);
    far = Math.max(far, Math.abs(positions[i]));
  }
  return far > 20 * (high - low);
}

function ply(positions: Float64Array, triangles: Uint32Array | undefined): Buffer {
  const n = positions.length / 3;
  const wide = needsDoubles(positions);
  const type = wide ? 'double' : 'float';
  const faces = triangles ? `element face ${triangles.length / 3}\nproperty list uchar int vertex_indices\n` : '';
  const head = Buffer.from(
    `ply\nformat binary_little_endian 1.0\nelement vertex ${n}\nproperty ${type} x\nproperty ${type} y\nproperty ${type} z\n${faces}end_header\n`,
  );
  const size = wide ? 8 : 4;
  const vertices = Buffer.from(
    wide ? positions.buffer.slice(positions.byteOffset, positions.byteOffset + n * 3 * size) : Float32Array.from(positions).buffer,
  );
  if (!triangles) return Buffer.concat([head, vertices]);
  const body = Buffer.alloc((triangles.length / 3) * 13);
  for (let i = 0, o = 0; i < triangles.length; i += 3) {
    body[o++] = 3;
    for (let c = 0; c < 3; c++, o += 4) body.writeInt32LE(triangles[i + c], o);
  }
  return Buffer.concat([head, vertices, body]);
}

function stl(positions: Float64Array, triangles: Uint32Array): Buffer {
  const out = Buffer.alloc(84 + (triangles.length / 3) * 50);
  out.write('scan');
  out.writeUInt32LE(triangles.length / 3, 80);
  for (let i = 0, o = 84; i < triangles.length; i += 3, o += 50)
    for (let c = 0; c < 3; c++) for (let a = 0; a < 3; a++) out.writeFloatLE(positions[triangles[i + c] * 3 + a], o + 12 + c * 12 + a * 4);
  return out;
}

function obj(positions: Float64Array, triangles: Uint32Array): Buffer {
  const parts: string[] = [];
  for (let i = 0; i < positions.length; i += 3)
    parts.push(`v ${number(positions[i])} ${number(positions[i + 1])} ${number(positions[i + 2])}\n`);
  for (let i = 0; i < triangles.length; i += 3) parts.push(`f ${triangles[i] + 1} ${triangles[i + 1] + 1} ${triangles[i + 2] + 1}\n`);
  return Buffer.from(parts.join(''));
}

function xyz(positions: Float64Array): Buffer {
  const parts: string[] = [];
  for (let i = 0; i < positions.length; i += 3)
    parts.push(`${number(positions[i])} ${number(positions[i + 1])} ${number(positions[i + 2])}\n`);
  return Buffer.from(parts.join(''));
}

function pcd(positions: Float64Array): Buffer {
  const n = positions.length / 3;
  const wide = needsDoubles(positions);
  const size = wide ? 8 : 4;
  const head = Buffer.from(
    `# .PCD v0.7\nVERSION 0.7\nFIELDS x y z\nSIZE ${size} ${size} ${size}\nTYPE F F F\nCOUNT 1 1 1\nWIDTH ${n}\nHEIGHT 1\nVIEWPOINT 0 0 0 1 0 0 0\nPOINTS ${n}\nDATA binary\n`,
  );
  return Buffer.concat([head, Buffer.from(wide ? Float64Array.from(positions).buffer : Float32Array.from(positions).buffer)]);
}

const number = (v: number): string => String(Number(v.toPrecision(10)));
