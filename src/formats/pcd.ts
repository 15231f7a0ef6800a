import { InputError } from '../geometry/input-error.ts';
import type { Scan } from '../geometry/scan.ts';
import type { ByteReader } from './byte-reader.ts';
import { isCoordinate } from './coordinates.ts';
import { finishScan } from './finish-scan.ts';
import { expandLzf } from './lzf.ts';
import { type PcdField, type PcdHeader, readPcdHeader } from './pcd-header.ts';
import { PointSink } from './point-sink.ts';
import { readLines } from './read-lines.ts';
import { isNotFinite, Tokens } from './tokens.ts';

const COMMA = 44;
/** LZF packs at most 264 bytes into 3. */
const MOST_LZF_RATIO = 88;

/**
 * PCD as text, binary or compressed. Points that are not finite are no damage here: organised clouds mark the gaps in their grid so; they are
 * left out and counted. The viewpoint is where the sensor stood and moves nothing.
 *
 * @throws {InputError} `truncated`, `no-points`, `malformed`, `unsupported`, `too-large`
 */
export async function readPcd(reader: ByteReader): Promise<Scan> {
  const header = await readPcdHeader(reader);
  const cloud = new PcdCloud(header);
  if (header.data === 'ascii') await readText(reader, header, cloud);
  else if (header.data === 'binary') await readBinary(reader, header, cloud);
  else await readCompressed(reader, header, cloud);
  const { points, invalid, left } = cloud;
  if (points.count === 0 && invalid > 0)
    throw new InputError('no-points', `none of its ${invalid} points is finite: export the scan again`);
  const warnings =
    left > 0 ? [`${left} ${header.data === 'ascii' ? 'lines' : 'bytes'} after the points that the header promises were left out`] : [];
  const dropped = {
    ...(invalid > 0 ? { invalidPoints: invalid } : {}),
    ...(left > 0 ? { [header.data === 'ascii' ? 'trailingLines' : 'trailingBytes']: left } : {}),
  };
  const scan = finishScan(points, undefined, { format: `pcd-${header.data.replace('_', '-')}`, dropped, warnings });
  return { ...scan, storedPoints: header.points };
}

class PcdCloud {
  readonly points: PointSink;
  invalid = 0;
  /** Lines or bytes after the last point. */
  left = 0;

  constructor({ data, axes }: PcdHeader) {
    this.points = new PointSink(data !== 'ascii' && axes.every(({ type, size }) => type === 'F' && size === 4) ? 'single' : 'double');
  }

  add(x: number, y: number, z: number): void {
    if (isCoordinate(x) && isCoordinate(y) && isCoordinate(z)) this.points.add(x, y, z);
    else this.invalid += 1;
  }
}

function cutOff(header: PcdHeader, found: number): InputError {
  return new InputError(
    'truncated',
    `header promises ${header.points} points, the file ends after ${found}: it is cut off; export it again`,
  );
}

async function readText(reader: ByteReader, header: PcdHeader, cloud: PcdCloud): Promise<void> {
  const tokens = new Tokens();
  let found = 0;
  await readLines(reader, header.lines, (line) => {
    tokens.splitWords(line, COMMA);
    if (tokens.count === 0) return;
    if (found === header.points) {
      cloud.left += 1;
      return;
    }
    if (tokens.count !== header.columns) {
      if (!line.ended) throw cutOff(header, found);
      throw new InputError(
        'malformed',
        `line ${line.number}: ${tokens.count} values where the header promises ${header.columns}: export it again`,
      );
    }
    const [x, y, z] = header.axes.map(({ column }) => numberAt(tokens, column, line.number));
    cloud.add(x, y, z);
    found += 1;
  });
  if (found < header.points) throw cutOff(header, found);
}

function numberAt(tokens: Tokens, index: number, line: number): number {
  const value = tokens.number(index);
  if (!Number.isNaN(value) || isNotFinite(tokens.text(index))) return value;
  throw new InputError('malformed', `line ${line}: \`${tokens.text(index).slice(0, 40)}\` is not a number: export it again`);
}

async function readBinary(reader: ByteReader, header: PcdHeader, cloud: PcdCloud): Promise<void> {
  const { stride, points } = header;
  const [x, y, z] = header.axes.map((field) => ({ offset: field.offset, read: valueReader(field) }));
  for (let found = 0; found < points; ) {
    if (!(await reader.ensure(stride))) throw cutOff(header, found);
    const count = Math.min(points - found, Math.floor(reader.available / stride));
    const { view, start } = reader;
    for (let i = 0, at = start; i < count; i++, at += stride)
      cloud.add(x.read(view, at + x.offset), y.read(view, at + y.offset), z.read(view, at + z.offset));
    reader.consume(count * stride);
    found += count;
  }
  cloud.left = await reader.skipRest();
}

/** A compressed body holds one field after the other, not one point after the other. */
async function readCompressed(reader: ByteReader, header: PcdHeader, cloud: PcdCloud): Promise<void> {
  const { stride, points } = header;
  if (!(await reader.ensure(8))) throw new InputError('truncated', 'ends before its compressed block: it is cut off; export it again');
  const packedLength = reader.view.getUint32(reader.start, true);
  const length = reader.view.getUint32(reader.start + 4, true);
  reader.consume(8);
  if (length !== stride * points || length > MOST_LZF_RATIO * packedLength) {
    throw new InputError(
      'malformed',
      `compressed block promises ${length} bytes, ${points} points take ${stride * points}: export it again`,
    );
  }
  if (!(await reader.ensure(packedLength))) {
    throw new InputError(
      'truncated',
      `compressed block has ${packedLength} bytes, the file ends after ${reader.available} of them: it is cut off; export it again`,
    );
  }
  const body = expandLzf(reader.bytes.subarray(reader.start, reader.start + packedLength), length);
  reader.consume(packedLength);
  const view = new DataView(body.buffer);
  const [x, y, z] = header.axes.map((field) => ({ start: points * field.offset, size: field.size, read: valueReader(field) }));
  for (let i = 0; i < points; i++)
    cloud.add(x.read(view, x.start + i * x.size), y.read(view, y.start + i * y.size), z.read(view, z.start + i * z.size));
  cloud.left = await reader.skipRest();
}

function valueReader({ type, size }: PcdField): (view: DataView, at: number) => number {
  switch (`${type}${size}`) {
    case 'F4':
      return (view, at) => view.getFloat32(at, true);
    case 'F8':
      return (view, at) => view.getFloat64(at, true);
    case 'I1':
      return (view, at) => view.getInt8(at);
    case 'I2':
      return (view, at) => view.getInt16(at, true);
    case 'I4':
      return (view, at) => view.getInt32(at, true);
    case 'I8':
      return (view, at) => Number(view.getBigInt64(at, true));
    case 'U1':
      return (view, at) => view.getUint8(at);
    case 'U2':
      return (view, at) => view.getUint16(at, true);
    case 'U4':
      return (view, at) => view.getUint32(at, true);
    default:
      return (view, at) => Number(view.getBigUint64(at, true));
  }
}
