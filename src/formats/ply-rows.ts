import { InputError } from '../geometry/input-error.ts';
import type { ByteReader } from './byte-reader.ts';
import { PLY_BYTES, type PlyElement, type PlyHeader, type PlyType } from './ply-header.ts';
import { readLines } from './read-lines.ts';
import { isNotFinite, Tokens } from './tokens.ts';

/** One row of an element: only what its target asked for. One object, filled anew for each row. */
export interface PlyRow {
  /** Single values, in the order of `PlyTarget.scalars`. */
  readonly values: Float64Array;
  /** The list asked for; its first `length` entries count. */
  list: Float64Array;
  length: number;
}

/** Who wants the rows of an element, and which of its properties. */
export interface PlyTarget {
  readonly element: PlyElement;
  /** Property numbers of single values. */
  readonly scalars: readonly number[];
  /** Property number of a list, or −1. */
  readonly list: number;
  /** @param index  of the row, from 0. @param place  of the row in the file, for messages */
  accept(row: PlyRow, index: number, place: () => string): void;
}

export function newRow(): PlyRow {
  return { values: new Float64Array(3), list: new Float64Array(16), length: 0 };
}

/** @throws {InputError} `truncated`, `malformed`, and what `accept` throws */
export async function readBinaryRows(reader: ByteReader, target: PlyTarget, littleEndian: boolean): Promise<void> {
  const { count, name, properties } = target.element;
  if (properties.length === 0) return;
  const row = newRow();
  let index = 0;
  const place = (): string => `${name} ${index}`;
  const walk = rowWalker(target, littleEndian, place);
  while (index < count) {
    let at = reader.start;
    for (; index < count; index++) {
      const next = walk(reader.view, at, reader.end, row);
      if (next < 0) break;
      target.accept(row, index, place);
      at = next;
    }
    reader.consume(at - reader.start);
    if (index < count && !(await reader.more())) throw cutOff(target.element, index);
  }
}

function cutOff(element: PlyElement, found: number): InputError {
  return new InputError(
    'truncated',
    `header promises ${element.count} rows of \`${element.name}\`, the file ends after ${found}: it is cut off; export it again`,
  );
}

/** @returns a function that takes one row at `at` apart and tells where the next one begins; −1 when the window ends before this one does */
function rowWalker(
  target: PlyTarget,
  little: boolean,
  place: () => string,
): (view: DataView, at: number, end: number, row: PlyRow) => number {
  const steps = target.element.properties.map(({ type, lengthType }, number) => ({
    type,
    bytes: PLY_BYTES[type],
    lengthType,
    lengthBytes: lengthType === undefined ? 0 : PLY_BYTES[lengthType],
    slot: lengthType === undefined ? target.scalars.indexOf(number) : number === target.list ? 0 : -1,
  }));
  return (view, start, end, row) => {
    let at = start;
    for (const step of steps) {
      if (step.lengthType === undefined) {
        if (at + step.bytes > end) return -1;
        if (step.slot >= 0) row.values[step.slot] = readValue(view, at, step.type, little);
        at += step.bytes;
        continue;
      }
      if (at + step.lengthBytes > end) return -1;
      const length = readValue(view, at, step.lengthType, little);
      if (length < 0) throw new InputError('malformed', `${place()} has a list of length ${length}: export it again`);
      at += step.lengthBytes;
      if (at + length * step.bytes > end) return -1;
      if (step.slot >= 0) {
        makeRoom(row, length);
        for (let i = 0; i < length; i++) row.list[i] = readValue(view, at + i * step.bytes, step.type, little);
      }
      at += length * step.bytes;
    }
    return at;
  };
}

function makeRoom(row: PlyRow, length: number): void {
  if (row.list.length < length) row.list = new Float64Array(2 * length);
  row.length = length;
}

function readValue(view: DataView, at: number, type: PlyType, little: boolean): number {
  switch (type) {
    case 'float32':
      return view.getFloat32(at, little);
    case 'int32':
      return view.getInt32(at, little);
    case 'uint8':
      return view.getUint8(at);
    case 'uint32':
      return view.getUint32(at, little);
    case 'float64':
      return view.getFloat64(at, little);
    case 'int8':
      return view.getInt8(at);
    case 'int16':
      return view.getInt16(at, little);
    case 'uint16':
      return view.getUint16(at, little);
    case 'int64':
      return Number(view.getBigInt64(at, little));
    case 'uint64':
      return Number(view.getBigUint64(at, little));
  }
}

/**
 * All rows of a text PLY, one a line; blank lines are passed over.
 * @returns lines that are left when the header's promise is fulfilled
 * @throws {InputError} `truncated`, `malformed`, `not-finite`, and what `accept` throws
 */
export async function readTextRows(reader: ByteReader, header: PlyHeader, targets: readonly PlyTarget[]): Promise<number> {
  const row = newRow();
  const tokens = new Tokens();
  let which = 0;
  let index = 0;
  let left = 0;
  const passEmpty = (): void => {
    while (which < targets.length && (index >= targets[which].element.count || targets[which].element.properties.length === 0)) {
      which += 1;
      index = 0;
    }
  };
  passEmpty();
  await readLines(reader, header.lines, (line) => {
    tokens.splitWords(line);
    if (tokens.count === 0) return;
    if (which === targets.length) {
      left += 1;
      return;
    }
    const target = targets[which];
    if (!takeTokens(tokens, target, row, line.number)) {
      if (!line.ended) throw cutOff(target.element, index);
      throw new InputError(
        'malformed',
        `line ${line.number}: a row of \`${target.element.name}\` with fewer values than the header says: export it again`,
      );
    }
    target.accept(row, index, () => `line ${line.number}`);
    index += 1;
    passEmpty();
  });
  if (which < targets.length) throw cutOff(targets[which].element, index);
  return left;
}

/** @returns false when the line holds too few words */
function takeTokens(tokens: Tokens, target: PlyTarget, row: PlyRow, line: number): boolean {
  const { properties, name } = target.element;
  let at = 0;
  for (let number = 0; number < properties.length; number++) {
    if (at >= tokens.count) return false;
    if (properties[number].lengthType === undefined) {
      const slot = target.scalars.indexOf(number);
      if (slot >= 0) row.values[slot] = numberAt(tokens, at, line);
      at += 1;
      continue;
    }
    const length = tokens.number(at);
    if (!Number.isInteger(length) || length < 0)
      throw new InputError('malformed', `line ${line}: \`${tokens.text(at)}\` is not the length of a list`);
    if (at + 1 + length > tokens.count) return false;
    if (number === target.list) {
      makeRoom(row, length);
      for (let i = 0; i < length; i++) row.list[i] = numberAt(tokens, at + 1 + i, line);
    }
    at += 1 + length;
  }
  if (at < tokens.count)
    throw new InputError('malformed', `line ${line}: a row of \`${name}\` with more values than the header says: export it again`);
  return true;
}

function numberAt(tokens: Tokens, index: number, line: number): number {
  const value = tokens.number(index);
  if (!Number.isNaN(value) || isNotFinite(tokens.text(index))) return value;
  throw new InputError('malformed', `line ${line}: \`${tokens.text(index).slice(0, 40)}\` is not a number`);
}
