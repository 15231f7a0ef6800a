/** Small writers of every format, straight from its description; they share no code with the readers. */

export interface TestMesh {
  /** 3n */
  readonly positions: readonly number[];
  /** Corners of each face; empty for a cloud. */
  readonly faces: readonly (readonly number[])[];
}

export function stlBinary({ positions, faces }: TestMesh, header = 'made for a test'): Buffer {
  const bytes = Buffer.alloc(84 + 50 * faces.length);
  bytes.write(header, 0, 80, 'latin1');
  bytes.writeUInt32LE(faces.length, 80);
  faces.forEach((face, f) => {
    face.forEach((vertex, k) => {
      for (let axis = 0; axis < 3; axis++) bytes.writeFloatLE(positions[3 * vertex + axis], 84 + 50 * f + 12 + 12 * k + 4 * axis);
    });
  });
  return bytes;
}

export function stlAscii({ positions, faces }: TestMesh): Buffer {
  const corner = (vertex: number): string => `vertex ${positions.slice(3 * vertex, 3 * vertex + 3).join(' ')}`;
  const facets = faces.map((face) => `facet normal 0 0 0\nouter loop\n${face.map(corner).join('\n')}\nendloop\nendfacet\n`);
  return Buffer.from(`solid test\n${facets.join('')}endsolid test\n`);
}

export type PlyEncoding = 'ascii' | 'binary_little_endian' | 'binary_big_endian';

export function ply({ positions, faces }: TestMesh, encoding: PlyEncoding, type: 'float' | 'double' = 'float'): Buffer {
  const vertices = positions.length / 3;
  const axes = ['x', 'y', 'z'].map((axis) => `property ${type} ${axis}\n`).join('');
  const list = faces.length > 0 ? `element face ${faces.length}\nproperty list uchar int vertex_indices\n` : '';
  const header = Buffer.from(`ply\nformat ${encoding} 1.0\nelement vertex ${vertices}\n${axes}${list}end_header\n`);
  if (encoding === 'ascii') {
    const rows = Array.from({ length: vertices }, (_, i) => `${positions.slice(3 * i, 3 * i + 3).join(' ')}\n`);
    return Buffer.concat([header, Buffer.from(rows.join('') + faces.map((face) => `${face.length} ${face.join(' ')}\n`).join(''))]);
  }
  const little = encoding === 'binary_little_endian';
  const size = type === 'float' ? 4 : 8;
  const body = new DataView(new ArrayBuffer(positions.length * size + faces.reduce((sum, face) => sum + 1 + 4 * face.length, 0)));
  for (const [i, value] of positions.entries()) {
    if (type === 'float') body.setFloat32(4 * i, value, little);
    else body.setFloat64(8 * i, value, little);
  }
  let at = positions.length * size;
  for (const face of faces) {
    body.setUint8(at++, face.length);
    for (const vertex of face) {
      body.setInt32(at, vertex, little);
      at += 4;
    }
  }
  return Buffer.concat([header, Buffer.from(body.buffer)]);
}

export function obj({ positions, faces }: TestMesh): Buffer {
  const rows = Array.from({ length: positions.length / 3 }, (_, i) => `v ${positions.slice(3 * i, 3 * i + 3).join(' ')}\n`);
  return Buffer.from(rows.join('') + faces.map((face) => `f ${face.map((vertex) => vertex + 1).join(' ')}\n`).join(''));
}

export function text(positions: readonly number[], separator = ' '): Buffer {
  return Buffer.from(
    Array.from({ length: positions.length / 3 }, (_, i) => `${positions.slice(3 * i, 3 * i + 3).join(separator)}\n`).join(''),
  );
}

export type PcdData = 'ascii' | 'binary' | 'binary_compressed';

/** With a field before and one between the coordinates, so that offsets matter. */
export function pcd(positions: readonly number[], data: PcdData): Buffer {
  const points = positions.length / 3;
  const header = `# .PCD v0.7\nVERSION 0.7\nFIELDS id x label y z\nSIZE 2 4 1 4 4\nTYPE U F I F F\nCOUNT 1 1 2 1 1\nWIDTH ${points}\nHEIGHT 1\nVIEWPOINT 0 0 0 1 0 0 0\nPOINTS ${points}\nDATA ${data}\n`;
  if (data === 'ascii') {
    const rows = Array.from(
      { length: points },
      (_, i) => `${i} ${positions[3 * i]} -1 -2 ${positions[3 * i + 1]} ${positions[3 * i + 2]}\n`,
    );
    return Buffer.from(header + rows.join(''));
  }
  const stride = 16;
  const body = Buffer.alloc(stride * points);
  const columns = data === 'binary' ? { x: 2, y: 8, z: 12, step: stride } : { x: 2 * points, y: 8 * points, z: 12 * points, step: 4 };
  for (let i = 0; i < points; i++) {
    body.writeFloatLE(positions[3 * i], columns.x + columns.step * i);
    body.writeFloatLE(positions[3 * i + 1], columns.y + columns.step * i);
    body.writeFloatLE(positions[3 * i + 2], columns.z + columns.step * i);
  }
  if (data === 'binary') return Buffer.concat([Buffer.from(header), body]);
  const packed = lzf(body);
  const lengths = Buffer.alloc(8);
  lengths.writeUInt32LE(packed.length, 0);
  lengths.writeUInt32LE(body.length, 4);
  return Buffer.concat([Buffer.from(header), lengths, packed]);
}

/** A plain LZF packer: the longest earlier match of 3 to 264 bytes within 8192, found by trying all. */
export function lzf(input: Uint8Array): Buffer {
  const output: number[] = [];
  let literals: number[] = [];
  const flush = (): void => {
    for (let i = 0; i < literals.length; i += 32) output.push(Math.min(32, literals.length - i) - 1, ...literals.slice(i, i + 32));
    literals = [];
  };
  for (let at = 0; at < input.length; ) {
    let best = 0;
    let from = 0;
    for (let start = Math.max(0, at - 8192); start < at; start++) {
      let length = 0;
      while (length < 264 && at + length < input.length && input[start + length] === input[at + length]) length += 1;
      if (length > best) [best, from] = [length, start];
    }
    if (best < 3) {
      literals.push(input[at++]);
      continue;
    }
    flush();
    const distance = at - from - 1;
    if (best - 2 < 7) output.push(((best - 2) << 5) | (distance >> 8), distance & 255);
    else output.push((7 << 5) | (distance >> 8), best - 2 - 7, distance & 255);
    at += best;
  }
  flush();
  return Buffer.from(output);
}

/** @param body  content of buffer 0, whose `byteLength` the document states */
export function glb(document: object, body: Uint8Array): Buffer {
  const json = Buffer.from(JSON.stringify(document));
  const jsonLength = Math.ceil(json.length / 4) * 4;
  const bodyLength = Math.ceil(body.length / 4) * 4;
  const bytes = Buffer.alloc(12 + 8 + jsonLength + 8 + bodyLength);
  bytes.write('glTF', 'latin1');
  bytes.writeUInt32LE(2, 4);
  bytes.writeUInt32LE(bytes.length, 8);
  bytes.writeUInt32LE(jsonLength, 12);
  bytes.write('JSON', 16, 'latin1');
  bytes.fill(' ', 20, 20 + jsonLength);
  json.copy(bytes, 20);
  bytes.writeUInt32LE(bodyLength, 20 + jsonLength);
  bytes.write('BIN\0', 24 + jsonLength, 'latin1');
  bytes.set(body, 28 + jsonLength);
  return bytes;
}

/** One mesh at one node; positions as floats, indices as 32-bit integers; `node` may carry a transform. */
export function glbMesh({ positions, faces }: TestMesh, node: object = {}): Buffer {
  const points = Buffer.from(Float32Array.from(positions).buffer);
  const corners = Buffer.from(Uint32Array.from(faces.flat()).buffer);
  const document = {
    asset: { version: '2.0' },
    scene: 0,
    scenes: [{ nodes: [0] }],
    nodes: [{ ...node, mesh: 0 }],
    meshes: [{ primitives: [{ attributes: { POSITION: 0 }, ...(faces.length > 0 ? { indices: 1 } : { mode: 0 }) }] }],
    accessors: [
      { bufferView: 0, componentType: 5126, count: positions.length / 3, type: 'VEC3' },
      ...(faces.length > 0 ? [{ bufferView: 1, componentType: 5125, count: faces.flat().length, type: 'SCALAR' }] : []),
    ],
    bufferViews: [
      { buffer: 0, byteLength: points.length },
      ...(faces.length > 0 ? [{ buffer: 0, byteOffset: points.length, byteLength: corners.length }] : []),
    ],
    buffers: [{ byteLength: points.length + corners.length }],
  };
  return glb(document, Buffer.concat([points, corners]));
}
