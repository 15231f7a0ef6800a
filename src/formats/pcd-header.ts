import { InputError } from '../geometry/input-error.ts';
import type { ByteReader } from './byte-reader.ts';
import type { Head } from './format.ts';
import { MOST_POINTS } from './point-sink.ts';
import { readHeaderLine } from './read-header-line.ts';

export interface PcdField {
  /** Lower case. */
  readonly name: string;
  readonly type: 'F' | 'I' | 'U';
  /** Bytes of one value. */
  readonly size: number;
  /** Values a point. */
  readonly count: number;
  /** Bytes of a point before this field. */
  readonly offset: number;
  /** Values of a point before this field. */
  readonly column: number;
}
export interface PcdHeader {
  readonly data: 'ascii' | 'binary' | 'binary_compressed';
  readonly points: number;
  /** x, y, z. */
  readonly axes: readonly [PcdField, PcdField, PcdField];
  /** Bytes a point. */
  readonly stride: number;
  /** Values a point. */
  readonly columns: number;
  /** Lines of the header. */
  readonly lines: number;
}

/** Lines: a header has eleven, and perhaps comments. */
const MOST_LINES = 1000;
const SIZES: Readonly<Record<string, readonly number[]>> = { F: [4, 8], I: [1, 2, 4, 8], U: [1, 2, 4, 8] };

export function isPcd({ bytes }: Head): boolean {
  return /^(?:#[^\n]*\n|\s)*(?:VERSION\s+\.?\d|FIELDS\s|COLUMNS\s)/.test(Buffer.from(bytes.subarray(0, 4096)).toString('latin1'));
}

/**
 * Reads the header and leaves the reader at the first byte of the data.
 * @throws {InputError} `malformed`, `truncated`, `unsupported`, `too-large`
 * @see the file format description of the Point Cloud Library, version 0.7
 */
export async function readPcdHeader(reader: ByteReader): Promise<PcdHeader> {
  const entries = new Map<string, readonly string[]>();
  for (let lines = 1; lines <= MOST_LINES; lines++) {
    const line = await readHeaderLine(reader, 'any');
    if (line === undefined) throw new InputError('truncated', 'PCD header ends without `DATA`: the file is cut off; export it again');
    const [key, ...words] = line.text.trim().split(/\s+/);
    if (key === '' || key.startsWith('#')) continue;
    entries.set(key === 'COLUMNS' ? 'FIELDS' : key, words);
    if (key === 'DATA') return build(entries, lines);
  }
  throw new InputError('malformed', `PCD header has no \`DATA\` in its first ${MOST_LINES} lines: export it again`);
}

function build(entries: ReadonlyMap<string, readonly string[]>, lines: number): PcdHeader {
  const data = entries.get('DATA')?.[0] ?? '';
  if (data !== 'ascii' && data !== 'binary' && data !== 'binary_compressed') {
    throw new InputError('unsupported', `PCD data \`${data.slice(0, 40)}\` are not known: ascii, binary and binary_compressed are`);
  }
  const fields = buildFields(entries);
  const last = fields[fields.length - 1];
  const axis = (name: string): PcdField => {
    const field = fields.find((candidate) => candidate.name === name && candidate.count === 1);
    if (field === undefined) throw new InputError('malformed', `PCD header names no single field \`${name}\`: export the scan again`);
    return field;
  };
  const axes = [axis('x'), axis('y'), axis('z')] as const;
  return {
    data,
    points: countPoints(entries),
    axes,
    stride: last.offset + last.size * last.count,
    columns: last.column + last.count,
    lines,
  };
}

function buildFields(entries: ReadonlyMap<string, readonly string[]>): readonly PcdField[] {
  const names = entries.get('FIELDS') ?? [];
  const sizes = entries.get('SIZE') ?? names.map(() => '4');
  const types = entries.get('TYPE') ?? names.map(() => 'F');
  const counts = entries.get('COUNT') ?? names.map(() => '1');
  if (names.length === 0 || [sizes, types, counts].some((list) => list.length !== names.length)) {
    throw new InputError(
      'malformed',
      `PCD header: FIELDS has ${names.length} entries, SIZE ${sizes.length}, TYPE ${types.length}, COUNT ${counts.length}: export the scan again`,
    );
  }
  let offset = 0;
  let column = 0;
  return names.map((name, i) => {
    const size = Number(sizes[i]);
    const count = Number(counts[i]);
    const type = types[i];
    if (!Object.hasOwn(SIZES, type) || !SIZES[type].includes(size))
      throw new InputError('unsupported', `PCD field \`${name}\` of type ${type}${sizes[i]} is not known`);
    if (!(Number.isInteger(count) && count >= 0))
      throw new InputError('malformed', `PCD field \`${name}\`: \`${counts[i]}\` is not a count`);
    const field: PcdField = { name: name.toLowerCase(), type: type as PcdField['type'], size, count, offset, column };
    offset += size * count;
    column += count;
    return field;
  });
}

function countPoints(entries: ReadonlyMap<string, readonly string[]>): number {
  const number = (key: string): number | undefined => {
    const word = entries.get(key)?.[0];
    if (word !== undefined && !/^\d+$/.test(word))
      throw new InputError('malformed', `PCD header: ${key} \`${word.slice(0, 40)}\` is not a number of points`);
    return word === undefined ? undefined : Number(word);
  };
  const width = number('WIDTH');
  const grid = width === undefined ? undefined : width * (number('HEIGHT') ?? 1);
  const points = number('POINTS') ?? grid;
  if (points === undefined) throw new InputError('malformed', 'PCD header has neither POINTS nor WIDTH: export the scan again');
  if (grid !== undefined && grid !== points)
    throw new InputError('malformed', `PCD header: WIDTH × HEIGHT is ${grid}, POINTS is ${points}: export the scan again`);
  if (points > MOST_POINTS)
    throw new InputError('too-large', `holds ${points} points, more than ${MOST_POINTS / 1e6} million: thin the scan first`);
  return points;
}
