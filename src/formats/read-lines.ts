import { InputError } from '../geometry/input-error.ts';
import type { ByteReader } from './byte-reader.ts';

const NEWLINE = 10;
const RETURN = 13;
/** Bytes: a triangle strip of a whole scan may stand in one line; a file without line ends is something else. */
const LONGEST_LINE = 256 * 2 ** 20;

export interface Line {
  /** Replaced now and then: valid during the call only. */
  readonly bytes: Uint8Array;
  readonly from: number;
  readonly to: number;
  /** Counted from 1. */
  readonly number: number;
  /** False when the file ends in the middle of this line: its last value may be cut. */
  readonly ended: boolean;
}

/**
 * Calls `onLine` for each line that is left, ended by LF, CR LF or CR alone; `line` is one object, filled anew.
 * @param linesBefore  lines that were consumed already, for the numbering
 */
export async function readLines(reader: ByteReader, linesBefore: number, onLine: (line: Line) => void): Promise<void> {
  const line = { bytes: reader.bytes, from: 0, to: 0, number: linesBefore, ended: true };
  let more = true;
  while (more) {
    more = await reader.more();
    line.bytes = reader.bytes;
    reader.consume(passLines(reader, line, onLine));
    if (reader.available > LONGEST_LINE) throw new InputError('malformed', `line ${line.number + 1} does not end: this is not a text file`);
  }
  if (reader.available === 0) return;
  line.from = reader.start;
  line.to = reader.bytes[reader.end - 1] === RETURN ? reader.end - 1 : reader.end;
  line.ended = line.to < reader.end;
  line.number += 1;
  onLine(line);
  reader.consume(reader.available);
}

/** @returns bytes of whole lines; a return at the very end waits for what follows it */
function passLines(reader: ByteReader, line: { -readonly [K in keyof Line]: Line[K] }, onLine: (line: Line) => void): number {
  const { bytes, start, end } = reader;
  let from = start;
  for (let at = start; at < end; at++) {
    const byte = bytes[at];
    if (byte > RETURN || (byte !== NEWLINE && byte !== RETURN)) continue;
    if (byte === RETURN && at + 1 === end) break;
    line.from = from;
    line.to = at;
    line.number += 1;
    onLine(line);
    if (byte === RETURN && bytes[at + 1] === NEWLINE) at += 1;
    from = at + 1;
  }
  return from - start;
}
