import { InputError } from '../geometry/input-error.ts';
import type { Scan } from '../geometry/scan.ts';
import { ByteReader } from './byte-reader.ts';
import { type ByteSource, memorySource } from './byte-source.ts';
import { openFile } from './file-source.ts';
import type { Head } from './format.ts';
import { FREE_BYTES, gunzipSource } from './gunzip-source.ts';
import { refuseForeign } from './refuse-foreign.ts';
import { FORMATS } from './registry.ts';

/** Bytes looked at to tell the format. */
const HEAD_BYTES = 1 << 16;

export interface ReadScan {
  readonly scan: Scan;
  /** SHA-256 of the file's bytes as they are on disk, in hexadecimal. */
  readonly sha256: string;
  /** Size of the file. */
  readonly bytes: number;
}

/**
 * Reads a scan of any known format, packed with gzip or not; the content decides, never the extension.
 * @throws {InputError} `unreadable` (missing, a folder, not allowed), `not-a-scan`, `truncated`, `no-points`, `not-finite`, `malformed`, `unsupported`, `too-large`
 */
export async function readScan(path: string): Promise<ReadScan> {
  const file = await openFile(path);
  try {
    const scan = await readSource(file, path);
    return { scan, sha256: await file.finish(), bytes: file.size };
  } finally {
    await file.close();
  }
}

/**
 * The same for bytes in memory.
 * @param path  where files that the scan names (glTF buffers) are looked for beside; none are when it is absent
 * @throws {InputError} see `readScan`
 */
export async function parseScan(bytes: Uint8Array, path?: string): Promise<Scan> {
  return readSource(memorySource(bytes), path);
}

async function readSource(source: ByteSource, path: string | undefined): Promise<Scan> {
  if (source.size === 0) throw new InputError('not-a-scan', 'is empty (0 bytes): copy or export it again');
  const start = new Uint8Array(2);
  const plain = await lookAhead(source, start);
  if (!isGzip(start)) return dispatch(new ByteReader(plain), path);
  const reader = new ByteReader(gunzipSource(plain));
  await reader.ensure(2);
  if (isGzip(reader.bytes.subarray(reader.start, reader.end)))
    throw new InputError('unsupported', 'is packed with gzip twice: unpack it once');
  return dispatch(reader, path);
}

/** Fills `start` and gives back a source that begins with it. */
async function lookAhead(source: ByteSource, start: Uint8Array): Promise<ByteSource> {
  let held = 0;
  for (let count = 1; count > 0 && held < start.length; held += count) count = await source.readInto(start.subarray(held));
  let given = 0;
  return {
    size: source.size,
    async readInto(target) {
      if (given === held) return source.readInto(target);
      const count = Math.min(held - given, target.length);
      target.set(start.subarray(given, given + count));
      given += count;
      return count;
    },
  };
}

function isGzip(bytes: Uint8Array): boolean {
  return bytes[0] === 0x1f && bytes[1] === 0x8b;
}

async function dispatch(reader: ByteReader, path: string | undefined): Promise<Scan> {
  const whole = !(await reader.ensure(HEAD_BYTES));
  if (reader.available === 0) throw new InputError('not-a-scan', 'is a gzip file with nothing in it: export it again');
  if (hasByteOrderMark(reader)) reader.consume(3);
  const bytes = reader.bytes.slice(reader.start, Math.min(reader.end, reader.start + HEAD_BYTES));
  const head: Head = { bytes, text: headText(bytes), size: reader.size, whole };
  const format = FORMATS.find(({ sniff }) => sniff(head));
  if (format !== undefined) return format.read(reader, head, path);
  // a bomb is called one also when what it holds is nothing
  for (let passed = 0; passed <= FREE_BYTES && reader.size === undefined && (await reader.more()); ) {
    passed += reader.available;
    reader.consume(reader.available);
  }
  return refuseForeign(head);
}

/** Three bytes with which some programs begin UTF-8 text. */
function hasByteOrderMark({ bytes, start }: ByteReader): boolean {
  return bytes[start] === 0xef && bytes[start + 1] === 0xbb && bytes[start + 2] === 0xbf;
}

/** @returns the empty string unless all bytes can be text in an ASCII-based encoding: no control characters but white space */
function headText(bytes: Uint8Array): string {
  for (const byte of bytes) if ((byte < 32 && (byte < 9 || byte > 13)) || byte === 127) return '';
  return Buffer.from(bytes.buffer, bytes.byteOffset, bytes.length).toString('latin1');
}
