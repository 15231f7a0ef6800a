import { InputError } from '../geometry/input-error.ts';
import type { ByteReader } from './byte-reader.ts';
import { readHeaderLine } from './read-header-line.ts';

export type PlyType = 'int8' | 'uint8' | 'int16' | 'uint16' | 'int32' | 'uint32' | 'int64' | 'uint64' | 'float32' | 'float64';
export const PLY_BYTES: Readonly<Record<PlyType, number>> = {
  int8: 1,
  uint8: 1,
  int16: 2,
  uint16: 2,
  int32: 4,
  uint32: 4,
  int64: 8,
  uint64: 8,
  float32: 4,
  float64: 8,
};

export interface PlyProperty {
  readonly name: string;
  readonly type: PlyType;
  /** Type of the length in front of a list; absent for a single value. */
  readonly lengthType: PlyType | undefined;
}
export interface PlyElement {
  readonly name: string;
  readonly count: number;
  readonly properties: readonly PlyProperty[];
}
export interface PlyHeader {
  readonly encoding: 'ascii' | 'binary-little-endian' | 'binary-big-endian';
  readonly elements: readonly PlyElement[];
  /** Lines of the header, `end_header` included. */
  readonly lines: number;
}

/** Names in use beside those of the format's description; `bool` is written by some tools as one byte. */
const TYPES: Readonly<Record<string, PlyType>> = {
  char: 'int8',
  uchar: 'uint8',
  short: 'int16',
  ushort: 'uint16',
  int: 'int32',
  uint: 'uint32',
  float: 'float32',
  double: 'float64',
  bool: 'uint8',
  int8: 'int8',
  uint8: 'uint8',
  int16: 'int16',
  uint16: 'uint16',
  int32: 'int32',
  uint32: 'uint32',
  int64: 'int64',
  uint64: 'uint64',
  float32: 'float32',
  float64: 'float64',
};
/** Bytes: headers are a few hundred; comments may add to that. */
const LONGEST_HEADER = 1 << 20;
/** A count no file can hold (2⁴⁸) is nonsense rather than a promise. */
const MOST_ROWS = 2 ** 48;

/**
 * Reads the header and leaves the reader at the first byte of the data.
 * @throws {InputError} `malformed`, `truncated`, `unsupported`
 * @see Greg Turk, The PLY Polygon File Format (1994)
 */
export async function readPlyHeader(reader: ByteReader): Promise<PlyHeader> {
  const lines: string[] = [];
  let returnsOnly = true;
  for (;;) {
    const line = await readHeaderLine(reader, returnsOnly && lines.length > 0 ? 'return' : 'any');
    if (line === undefined) throw new InputError('truncated', 'PLY header ends without `end_header`: the file is cut off; export it again');
    if (line.ending !== 'return') returnsOnly = false;
    lines.push(line.text.trim());
    if (lines[lines.length - 1] === 'end_header') return parseHeader(lines);
    if (reader.consumed > LONGEST_HEADER)
      throw new InputError('malformed', 'PLY header has no `end_header` in its first megabyte: export it again');
  }
}

function parseHeader(lines: readonly string[]): PlyHeader {
  let encoding: PlyHeader['encoding'] | undefined;
  const elements: { name: string; count: number; properties: PlyProperty[] }[] = [];
  for (let i = 1; i < lines.length - 1; i++) {
    const words = lines[i].split(/\s+/);
    if (words[0] === 'format') encoding = parseEncoding(words[1]);
    else if (words[0] === 'element') elements.push({ name: words[1], count: parseCount(words[2], i + 1), properties: [] });
    else if (words[0] === 'property') {
      if (elements.length === 0) throw new InputError('malformed', `line ${i + 1}: a property before any element`);
      elements[elements.length - 1].properties.push(parseProperty(words, i + 1));
    } else if (words[0] !== 'comment' && words[0] !== 'obj_info' && words[0] !== '') {
      throw new InputError('malformed', `line ${i + 1}: \`${words[0].slice(0, 40)}\` does not belong in a PLY header`);
    }
  }
  if (encoding === undefined) throw new InputError('malformed', 'PLY header has no `format` line: export it again');
  return { encoding, elements, lines: lines.length };
}

function parseEncoding(word: string | undefined): PlyHeader['encoding'] {
  if (word === 'ascii') return 'ascii';
  if (word === 'binary_little_endian') return 'binary-little-endian';
  if (word === 'binary_big_endian') return 'binary-big-endian';
  throw new InputError('unsupported', `PLY format \`${word}\` is not known: ascii, binary_little_endian and binary_big_endian are`);
}

function parseCount(word: string | undefined, line: number): number {
  const count = Number(word);
  if (word !== undefined && /^\d+$/.test(word) && count < MOST_ROWS) return count;
  throw new InputError('malformed', `line ${line}: \`${word}\` is not a number of rows`);
}

function parseProperty(words: readonly string[], line: number): PlyProperty {
  if (words[1] === 'list') return { name: words[4] ?? '', type: parseType(words[3], line), lengthType: parseLengthType(words[2], line) };
  return { name: words[2] ?? '', type: parseType(words[1], line), lengthType: undefined };
}

function parseType(word: string | undefined, line: number): PlyType {
  const type = Object.hasOwn(TYPES, word ?? '') ? TYPES[word ?? ''] : undefined;
  if (type === undefined) throw new InputError('unsupported', `line ${line}: property type \`${word}\` is not known`);
  return type;
}

function parseLengthType(word: string | undefined, line: number): PlyType {
  const type = parseType(word, line);
  if (type.startsWith('float')) throw new InputError('malformed', `line ${line}: the length of a list cannot be a ${word}`);
  return type;
}
