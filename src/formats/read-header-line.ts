import type { ByteReader } from './byte-reader.ts';

const NEWLINE = 10;
const RETURN = 13;

export interface HeaderLine {
  /** One character a byte. */
  readonly text: string;
  readonly ending: 'newline' | 'return-newline' | 'return';
}

/**
 * One line of a text header in front of binary data; leaves the reader at the byte after its ending.
 * @param endings  `return` when the header's lines so far ended in a lone CR: an LF after it is then data already
 * @returns undefined when the source ends first
 */
export async function readHeaderLine(reader: ByteReader, endings: 'any' | 'return'): Promise<HeaderLine | undefined> {
  for (let length = 0; await reader.ensure(length + 1); length++) {
    const byte = reader.bytes[reader.start + length];
    if (byte !== NEWLINE && byte !== RETURN) continue;
    const text = Buffer.from(reader.bytes.buffer, reader.start, length).toString('latin1');
    reader.consume(length + 1);
    if (byte === NEWLINE) return { text, ending: 'newline' };
    if (endings === 'return' || !(await reader.ensure(1)) || reader.bytes[reader.start] !== NEWLINE) return { text, ending: 'return' };
    reader.consume(1);
    return { text, ending: 'return-newline' };
  }
  return undefined;
}
