import { deflateSync } from 'node:zlib';

export interface Frame {
  readonly centre: readonly [number, number, number];
  readonly width: number;
}

/** Grey z-buffer picture of triangles seen along a direction (towards the camera), as PNG bytes. */
export function renderPng(
  points: Float64Array,
  triangles: Uint32Array,
  toCamera: readonly [number, number, number],
  size: number,
  frame?: Frame,
): Buffer {
  const n = Math.hypot(...toCamera);
  const d = toCamera.map((c) => c / n) as [number, number, number];
  // x of the body runs to the right of the picture
  let right = [1 - d[0] * d[0], -d[0] * d[1], -d[0] * d[2]];
  const rn = Math.hypot(...(right as [number, number, number]));
  right = right.map((c) => c / rn);
  const up = [d[1] * right[2] - d[2] * right[1], d[2] * right[0] - d[0] * right[2], d[0] * right[1] - d[1] * right[0]];
  const count = points.length / 3;
  const q = new Float64Array(count * 3);
  const low = [Infinity, Infinity];
  const high = [-Infinity, -Infinity];
  for (let i = 0; i < count; i++) {
    const [x, y, z] = [points[i * 3], points[i * 3 + 1], points[i * 3 + 2]];
    q[i * 3] = x * right[0] + y * right[1] + z * right[2];
    q[i * 3 + 1] = x * up[0] + y * up[1] + z * up[2];
    q[i * 3 + 2] = x * d[0] + y * d[1] + z * d[2];
    for (let c = 0; c < 2; c++) {
      low[c] = Math.min(low[c], q[i * 3 + c]);
      high[c] = Math.max(high[c], q[i * 3 + c]);
    }
  }
  let scale = (size * 0.96) / Math.max(high[0] - low[0], high[1] - low[1]);
  let centre = [(low[0] + high[0]) / 2, (low[1] + high[1]) / 2];
  if (frame) {
    const c = frame.centre;
    centre = [c[0] * right[0] + c[1] * right[1] + c[2] * right[2], c[0] * up[0] + c[1] * up[1] + c[2] * up[2]];
    scale = size / frame.width;
  }
  const tall = frame ? size : Math.ceil((high[1] - low[1]) * scale + 0.04 * size);
  const depth = new Float32Array(size * tall).fill(-Infinity);
  const grey = new Uint8Array(size * tall).fill(255);
  const light = [
    0.4 * right[0] + 0.5 * up[0] + 0.77 * d[0],
    0.4 * right[1] + 0.5 * up[1] + 0.77 * d[1],
    0.4 * right[2] + 0.5 * up[2] + 0.77 * d[2],
  ];
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [triangles[t] * 3, triangles[t + 1] * 3, triangles[t + 2] * 3];
    const ux = points[b] - points[a],
      uy = points[b + 1] - points[a + 1],
      uz = points[b + 2] - points[a + 2];
    const vx = points[c] - points[a],
      vy = points[c + 1] - points[a + 1],
      vz = points[c + 2] - points[a + 2];
    let nx = uy * vz - uz * vy,
      ny = uz * vx - ux * vz,
      nz = ux * vy - uy * vx;
    const nn = Math.hypot(nx, ny, nz) || 1;
    const s = nx * d[0] + ny * d[1] + nz * d[2] < 0 ? -1 / nn : 1 / nn;
    nx *= s;
    ny *= s;
    nz *= s;
    const shade = Math.max(0, nx * light[0] + ny * light[1] + nz * light[2]);
    const g = 25 + 215 * shade ** 1.6;
    const X = [a, b, c].map((o) => size / 2 + (q[o] - centre[0]) * scale);
    const Y = [a, b, c].map((o) => tall / 2 - (q[o + 1] - centre[1]) * scale);
    const D = [a, b, c].map((o) => q[o + 2]);
    const area = (X[1] - X[0]) * (Y[2] - Y[0]) - (X[2] - X[0]) * (Y[1] - Y[0]);
    if (Math.abs(area) < 1e-9) continue;
    for (let y = Math.max(0, Math.floor(Math.min(...Y))); y <= Math.min(tall - 1, Math.ceil(Math.max(...Y))); y++)
      for (let x = Math.max(0, Math.floor(Math.min(...X))); x <= Math.min(size - 1, Math.ceil(Math.max(...X))); x++) {
        const w0 = ((X[1] - x) * (Y[2] - y) - (X[2] - x) * (Y[1] - y)) / area;
        const w1 = ((X[2] - x) * (Y[0] - y) - (X[0] - x) * (Y[2] - y)) / area;
        const w2 = 1 - w0 - w1;
        if (w0 < -0.02 || w1 < -0.02 || w2 < -0.02) continue;
        const z = w0 * D[0] + w1 * D[1] + w2 * D[2];
        const o = y * size + x;
        if (z > depth[o]) {
          depth[o] = z;
          grey[o] = g;
        }
      }
  }
  return png(grey, size, tall);
}

function png(grey: Uint8Array, wide: number, tall: number): Buffer {
  const raw = Buffer.alloc((wide + 1) * tall);
  for (let y = 0; y < tall; y++) raw.set(grey.subarray(y * wide, (y + 1) * wide), y * (wide + 1) + 1);
  const head = Buffer.alloc(13);
  head.writeUInt32BE(wide, 0);
  head.writeUInt32BE(tall, 4);
  head.set([8, 0, 0, 0, 0], 8);
  return Buffer.concat([
    Buffer.from([137, 80, 78, 71, 13, 10, 26, 10]),
    chunk('IHDR', head),
    chunk('IDAT', deflateSync(raw)),
    chunk('IEND', Buffer.alloc(0)),
  ]);
}

function chunk(name: string, data: Buffer): Buffer {
  const body = Buffer.concat([Buffer.from(name), data]);
  let crc = 0xffffffff;
  for (const byte of body) {
    crc ^= byte;
    for (let i = 0; i < 8; i++) crc = crc & 1 ? (crc >>> 1) ^ 0xedb88320 : crc >>> 1;
  }
  const out = Buffer.alloc(body.length + 8);
  out.writeUInt32BE(data.length, 0);
  out.set(body, 4);
  out.writeUInt32BE((crc ^ 0xffffffff) >>> 0, body.length + 4);
  return out;
}
