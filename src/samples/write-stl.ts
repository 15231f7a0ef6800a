import type { Shape } from './write-ply.ts';

/** Bytes of a binary STL's header, and of one facet. */
const HEADER = 80;
const FACET = 50;

/** A binary STL: facets with their normals, corners in single precision. @throws {RangeError} a cloud: STL has triangles only */
export function writeStlBinary(shape: Shape): Uint8Array {
  const t = trianglesOf(shape);
  const bytes = new Uint8Array(HEADER + 4 + (FACET * t.length) / 3);
  bytes.set(new TextEncoder().encode('model instrument').subarray(0, HEADER));
  const view = new DataView(bytes.buffer);
  view.setUint32(HEADER, t.length / 3, true);
  const normal = new Float64Array(3);
  for (let k = 0, at = HEADER + 4; k < t.length; k += 3, at += FACET) {
    facetNormal(shape.positions, t[k], t[k + 1], t[k + 2], normal);
    for (let c = 0; c < 3; c++) view.setFloat32(at + 4 * c, normal[c], true);
    for (let v = 0; v < 3; v++)
      for (let c = 0; c < 3; c++) view.setFloat32(at + 12 + 12 * v + 4 * c, shape.positions[3 * t[k + v] + c], true);
  }
  return bytes;
}

/** An ASCII STL with one solid. @throws {RangeError} a cloud: STL has triangles only */
export function writeStlAscii(shape: Shape): Uint8Array {
  const t = trianglesOf(shape);
  const p = shape.positions;
  const lines = ['solid model'];
  const normal = new Float64Array(3);
  for (let k = 0; k < t.length; k += 3) {
    facetNormal(p, t[k], t[k + 1], t[k + 2], normal);
    lines.push(`facet normal ${normal[0].toFixed(4)} ${normal[1].toFixed(4)} ${normal[2].toFixed(4)}`, 'outer loop');
    for (let v = 0; v < 3; v++)
      lines.push(`vertex ${p[3 * t[k + v]].toFixed(5)} ${p[3 * t[k + v] + 1].toFixed(5)} ${p[3 * t[k + v] + 2].toFixed(5)}`);
    lines.push('endloop', 'endfacet');
  }
  lines.push('endsolid model', '');
  return new TextEncoder().encode(lines.join('\n'));
}

function trianglesOf(shape: Shape): Uint32Array {
  if (!shape.triangles) throw new RangeError('an STL file holds triangles; write a cloud as PLY, PCD or text');
  return shape.triangles;
}

function facetNormal(p: Float64Array, a: number, b: number, c: number, out: Float64Array): void {
  const ux = p[3 * b] - p[3 * a];
  const uy = p[3 * b + 1] - p[3 * a + 1];
  const uz = p[3 * b + 2] - p[3 * a + 2];
  const vx = p[3 * c] - p[3 * a];
  const vy = p[3 * c + 1] - p[3 * a + 1];
  const vz = p[3 * c + 2] - p[3 * a + 2];
  out[0] = uy * vz - uz * vy;
  out[1] = uz * vx - ux * vz;
  out[2] = ux * vy - uy * vx;
  const length = Math.hypot(out[0], out[1], out[2]) || 1;
  for (let k = 0; k < 3; k++) out[k] /= length;
}
