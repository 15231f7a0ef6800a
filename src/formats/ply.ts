import { InputError } from '../geometry/input-error.ts';
import type { Scan } from '../geometry/scan.ts';
import type { ByteReader } from './byte-reader.ts';
import { isCoordinate, refuseCoordinate } from './coordinates.ts';
import { finishScan } from './finish-scan.ts';
import type { Head } from './format.ts';
import { IndexSink } from './index-sink.ts';
import { type PlyElement, type PlyHeader, readPlyHeader } from './ply-header.ts';
import { type PlyRow, type PlyTarget, readBinaryRows, readTextRows } from './ply-rows.ts';
import { PointSink } from './point-sink.ts';

/** Names of the list of corners in use. */
const CORNERS = ['vertex_indices', 'vertex_index'];
/** Ends a strip within a list of strips. */
const RESTART = -1;

export function isPly({ bytes }: Head): boolean {
  return /^ply[ \t]*[\r\n]/.test(Buffer.from(bytes.subarray(0, 16)).toString('latin1'));
}

/**
 * PLY as text or binary of either byte order, in a stream: elements in any order, meshes (n-gons split into fans, triangle strips) and clouds.
 * Data after what the header promises is left out with a warning: the promise is kept, so nothing is missing.
 *
 * @throws {InputError} `truncated`, `no-points`, `not-finite`, `malformed`, `unsupported`, `too-large`
 */
export async function readPly(reader: ByteReader): Promise<Scan> {
  const header = await readPlyHeader(reader);
  const parts = newParts(header);
  const targets = header.elements.map((element) => targetFor(element, parts));
  const left = await readRows(reader, header, targets);
  const { points, faces, dropped, warnings } = parts;
  if (left > 0) {
    const what = header.encoding === 'ascii' ? 'Lines' : 'Bytes';
    dropped[`trailing${what}`] = left;
    warnings.push(`${left} ${what.toLowerCase()} after the last row that the header promises were left out`);
  }
  return finishScan(points, faces, { format: `ply-${header.encoding}`, dropped, warnings });
}

interface Parts {
  readonly points: PointSink;
  readonly faces: IndexSink;
  readonly dropped: Record<string, number>;
  readonly warnings: string[];
  /** Vertices that the header promises: they may come after the faces. */
  readonly vertices: number;
}

function newParts(header: PlyHeader): Parts {
  const vertex = header.elements.find(({ name }) => name === 'vertex');
  if (vertex === undefined) throw new InputError('no-points', 'PLY header names no element `vertex`: export the scan again');
  const types = ['x', 'y', 'z'].map((axis) => vertex.properties[propertyOf(vertex, axis)].type);
  const single = header.encoding !== 'ascii' && types.every((type) => type === 'float32');
  return {
    points: new PointSink(single ? 'single' : 'double'),
    faces: new IndexSink(),
    dropped: {},
    warnings: [],
    vertices: vertex.count,
  };
}

function propertyOf(vertex: PlyElement, name: string): number {
  const number = vertex.properties.findIndex((property) => property.name === name && property.lengthType === undefined);
  if (number < 0) throw new InputError('malformed', `PLY header gives \`vertex\` no property \`${name}\`: export the scan again`);
  return number;
}

async function readRows(reader: ByteReader, header: PlyHeader, targets: readonly PlyTarget[]): Promise<number> {
  if (header.encoding === 'ascii') return readTextRows(reader, header, targets);
  for (const target of targets) await readBinaryRows(reader, target, header.encoding === 'binary-little-endian');
  return reader.skipRest();
}

function targetFor(element: PlyElement, parts: Parts): PlyTarget {
  if (element.name === 'vertex') {
    const scalars = ['x', 'y', 'z'].map((axis) => propertyOf(element, axis));
    return { element, scalars, list: -1, accept: (row, _index, place) => addVertex(row, place, parts) };
  }
  if (element.name !== 'face' && element.name !== 'tristrips') return { element, scalars: [], list: -1, accept: () => undefined };
  const list = element.properties.findIndex(({ name, lengthType }) => CORNERS.includes(name) && lengthType !== undefined);
  if (list < 0 && element.count > 0)
    throw new InputError('malformed', `PLY header gives \`${element.name}\` no list \`${CORNERS[0]}\`: export the scan again`);
  const add = element.name === 'face' ? addFace : addStrips;
  return { element, scalars: [], list, accept: (row, _index, place) => add(row, place, parts) };
}

function addVertex({ values }: PlyRow, place: () => string, parts: Parts): void {
  if (!isCoordinate(values[0]) || !isCoordinate(values[1]) || !isCoordinate(values[2])) {
    throw refuseCoordinate(place(), values.find((value) => !isCoordinate(value)) as number);
  }
  parts.points.add(values[0], values[1], values[2]);
}

function addFace({ list, length }: PlyRow, place: () => string, parts: Parts): void {
  if (length < 3) parts.dropped['facesBelowThreeCorners'] = (parts.dropped['facesBelowThreeCorners'] ?? 0) + 1;
  for (let i = 0; i < length; i++) checkIndex(list[i], place, parts);
  for (let i = 2; i < length; i++) parts.faces.addTriangle(list[0], list[i - 1], list[i]);
}

/** Triangle strips, each turning the other way round than the one before; a strip repeats a vertex to turn, which leaves degenerate triangles. */
function addStrips({ list, length }: PlyRow, place: () => string, parts: Parts): void {
  let begin = 0;
  for (let i = 0; i < length; i++) {
    if (list[i] === RESTART) {
      begin = i + 1;
      continue;
    }
    checkIndex(list[i], place, parts);
    if (i < begin + 2) continue;
    if ((i - begin) % 2 === 0) parts.faces.addTriangle(list[i - 2], list[i - 1], list[i]);
    else parts.faces.addTriangle(list[i - 1], list[i - 2], list[i]);
  }
}

function checkIndex(index: number, place: () => string, { vertices }: Parts): void {
  if (index >= 0 && index < vertices && Number.isInteger(index)) return;
  throw new InputError('malformed', `${place()} refers to vertex ${index}, the file has ${vertices}, counted from 0: export it again`);
}
