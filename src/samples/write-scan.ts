import { gzipSync } from 'node:zlib';
import { MM_PER, type Unit } from '../geometry/scan.ts';
import { writeObj } from './write-obj.ts';
import { writePcd } from './write-pcd.ts';
import { type Shape, writePly } from './write-ply.ts';
import { writeStlAscii, writeStlBinary } from './write-stl.ts';
import { writeXyz } from './write-xyz.ts';

export type ScanFormat =
  | 'stl-binary'
  | 'stl-ascii'
  | 'ply-ascii'
  | 'ply-little-endian'
  | 'ply-big-endian'
  | 'obj'
  | 'pcd-ascii'
  | 'pcd-binary'
  | 'xyz';

/** Extension of each format. */
export const EXTENSION: Readonly<Record<ScanFormat, string>> = {
  'stl-binary': 'stl',
  'stl-ascii': 'stl',
  'ply-ascii': 'ply',
  'ply-little-endian': 'ply',
  'ply-big-endian': 'ply',
  obj: 'obj',
  'pcd-ascii': 'pcd',
  'pcd-binary': 'pcd',
  xyz: 'xyz',
};

/** Text coordinates are written to a micrometre or finer. */
const decimalsFor = (unit: Unit) => 3 + Math.ceil(Math.log10(MM_PER[unit]));

/** The bytes of a scan file. @throws {RangeError} a cloud as STL */
export function writeScan(shape: Shape, format: ScanFormat, unit: Unit, packing: 'plain' | 'gzip'): Uint8Array {
  const bytes = encode(shape, format, decimalsFor(unit));
  return packing === 'gzip' ? gzipSync(bytes, { level: 9 }) : bytes;
}

function encode(shape: Shape, format: ScanFormat, decimals: number): Uint8Array {
  switch (format) {
    case 'stl-binary':
      return writeStlBinary(shape);
    case 'stl-ascii':
      return writeStlAscii(shape);
    case 'ply-ascii':
      return writePly(shape, 'ascii');
    case 'ply-little-endian':
      return writePly(shape, 'binary_little_endian');
    case 'ply-big-endian':
      return writePly(shape, 'binary_big_endian');
    case 'obj':
      return writeObj(shape, decimals);
    case 'pcd-ascii':
      return writePcd(shape, 'ascii', decimals);
    case 'pcd-binary':
      return writePcd(shape, 'binary', decimals);
    case 'xyz':
      return writeXyz(shape, decimals);
  }
}
