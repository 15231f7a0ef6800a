import { InputError } from '../geometry/input-error.ts';
import type { Scan } from '../geometry/scan.ts';
import type { Vec3 } from '../geometry/vec3.ts';
import type { ByteReader } from './byte-reader.ts';
import { COORDINATE_LIMIT, refuseCoordinate } from './coordinates.ts';
import { MOST_POINTS } from './point-sink.ts';
import { scanOrigin } from './scan-origin.ts';
import { VertexWelder } from './vertex-welder.ts';

/** Bytes: 80 of free text, which may well begin with `solid`, and the number of facets. */
export const STL_HEADER = 84;
/** Bytes of a facet: normal, three corners, an attribute word. */
export const STL_FACET = 50;
const FIRST_CORNER = 12;
const MAGNITUDE = 0x7fffffff;
/** A float is too big or not finite when its bits without the sign reach these. */
const LIMIT_BITS = new Int32Array(Float32Array.of(COORDINATE_LIMIT).buffer)[0];
/** Facets: what memory for `MOST_POINTS` distinct vertices allows, at two facets a vertex. */
const MOST_FACETS = 2 * MOST_POINTS;

/**
 * Binary STL, in a stream: a facet is forgotten as soon as its corners are welded.
 * Bytes after the promised facets are left out with a warning when they are fewer than a facet; whole facets more than promised are refused,
 * since nobody can tell which of the two is wrong.
 *
 * @throws {InputError} `truncated`, `no-points`, `not-finite`, `malformed`, `too-large`
 */
export async function readStlBinary(reader: ByteReader): Promise<Scan> {
  if (!(await reader.ensure(STL_HEADER)))
    throw new InputError('truncated', `is cut off within the ${STL_HEADER} bytes of its header: export it again`);
  const facets = reader.view.getUint32(reader.start + 80, true);
  checkCount(facets, reader.size);
  reader.consume(STL_HEADER);
  const mesh = await readFacets(reader, facets);
  const trailing = await reader.skipRest();
  if (trailing >= STL_FACET) {
    throw new InputError(
      'malformed',
      `header promises ${facets} facets, the file goes on for ${trailing} bytes: one of them is wrong; export it again`,
    );
  }
  return finish(mesh, facets, trailing);
}

function checkCount(facets: number, size: number | undefined): void {
  if (size !== undefined && size < STL_HEADER + STL_FACET * facets) throw cutOff(facets, Math.floor((size - STL_HEADER) / STL_FACET));
  if (facets === 0 && (size ?? STL_HEADER) < STL_HEADER + STL_FACET)
    throw new InputError('no-points', 'is an STL file with no facets: export the scan again');
  if (facets > MOST_FACETS)
    throw new InputError('too-large', `holds ${facets} facets, more than ${MOST_FACETS / 1e6} million: thin the scan first`);
}

function cutOff(promised: number, found: number): InputError {
  return new InputError('truncated', `header promises ${promised} facets, the file ends after ${found}: it is cut off; export it again`);
}

interface WeldedMesh {
  readonly positions: Float32Array;
  readonly triangles: Uint32Array;
}

async function readFacets(reader: ByteReader, facets: number): Promise<WeldedMesh> {
  // a closed mesh has half as many vertices as facets; without a known size the count is only a claim
  const welder = new VertexWelder(reader.size === undefined ? 0 : facets / 2 + 1);
  let triangles = new Uint32Array(reader.size === undefined ? 1 << 12 : 3 * facets);
  let kept = 0;
  for (let done = 0; done < facets; ) {
    if (!(await reader.ensure(STL_FACET))) throw cutOff(facets, done);
    const count = Math.min(facets - done, Math.floor(reader.available / STL_FACET));
    if (kept + 3 * count > triangles.length) triangles = grow(triangles, kept + 3 * count);
    kept = weldFacets(reader.view, reader.start, count, done, welder, triangles, kept);
    reader.consume(count * STL_FACET);
    done += count;
  }
  return { positions: welder.positions(), triangles: kept === triangles.length ? triangles : triangles.slice(0, kept) };
}

function grow(triangles: Uint32Array<ArrayBuffer>, least: number): Uint32Array<ArrayBuffer> {
  const grown = new Uint32Array(Math.max(least, 2 * triangles.length));
  grown.set(triangles);
  return grown;
}

/** The hot loop: integers throughout. @returns entries of `triangles` that are filled afterwards */
function weldFacets(
  view: DataView,
  start: number,
  count: number,
  done: number,
  welder: VertexWelder,
  triangles: Uint32Array,
  kept: number,
): number {
  for (let i = 0, facet = start; i < count; i++, facet += STL_FACET) {
    for (let k = 0, at = facet + FIRST_CORNER; k < 3; k++, at += 12) {
      const x = view.getInt32(at, true);
      const y = view.getInt32(at + 4, true);
      const z = view.getInt32(at + 8, true);
      if ((x & MAGNITUDE) >= LIMIT_BITS || (y & MAGNITUDE) >= LIMIT_BITS || (z & MAGNITUDE) >= LIMIT_BITS) refuseCorner(view, at, done + i);
      triangles[kept + k] = welder.add(x, y, z);
    }
    const a = triangles[kept];
    const b = triangles[kept + 1];
    const c = triangles[kept + 2];
    if (a !== b && b !== c && c !== a) kept += 3;
  }
  return kept;
}

function refuseCorner(view: DataView, at: number, facet: number): never {
  const corner = [0, 4, 8].map((axis) => view.getFloat32(at + axis, true));
  const bad = corner.find((value) => !(Math.abs(value) < COORDINATE_LIMIT));
  throw refuseCoordinate(`facet ${facet + 1}`, bad as number);
}

function finish(mesh: WeldedMesh, facets: number, trailing: number): Scan {
  const { positions, triangles } = mesh;
  if (triangles.length === 0)
    throw new InputError('no-points', `none of its ${facets} facets has three different corners: export the scan again`);
  const origin = scanOrigin((index, axis) => positions[3 * index + axis], positions.length / 3);
  if (origin.some((value) => value !== 0)) shift(positions, origin);
  return {
    format: 'stl-binary',
    positions,
    origin,
    triangles,
    storedPoints: 3 * facets,
    storedTriangles: facets,
    formatUnit: undefined,
    dropped: { degenerateTriangles: facets - triangles.length / 3, ...(trailing > 0 ? { trailingBytes: trailing } : {}) },
    warnings: trailing > 0 ? [`${trailing} bytes after the last facet were left out`] : [],
  };
}

function shift(positions: Float32Array, origin: Vec3): void {
  for (let i = 0; i < positions.length; i += 3) {
    positions[i] -= origin[0];
    positions[i + 1] -= origin[1];
    positions[i + 2] -= origin[2];
  }
}
