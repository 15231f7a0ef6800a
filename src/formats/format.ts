import type { Scan } from '../geometry/scan.ts';
import type { ByteReader } from './byte-reader.ts';

/** What can be told from the beginning of a file. */
export interface Head {
  /** The first bytes, a few ten thousand at most. */
  readonly bytes: Uint8Array;
  /** The same as text, one character a byte; empty when these bytes are not text. */
  readonly text: string;
  /** Bytes of the whole file; not known for gzip. */
  readonly size: number | undefined;
  /** Whether `bytes` are all there is. */
  readonly whole: boolean;
}

/** A file format: how it is known and how it is read. */
export interface Format {
  /** By content alone. The registry asks in order. */
  sniff(head: Head): boolean;
  /** @param head  what `sniff` saw; still in front of the reader. @param path  of the file, for formats that may name others beside it; undefined for bytes from memory */
  read(reader: ByteReader, head: Head, path: string | undefined): Promise<Scan>;
}
