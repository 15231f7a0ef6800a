import { createHash } from 'node:crypto';
import { type FileHandle, open, stat } from 'node:fs/promises';
import { InputError } from '../geometry/input-error.ts';
import type { ByteSource } from './byte-source.ts';

/** Bytes read at a time when only the hash still wants them. */
const DRAIN_BLOCK = 1 << 20;

export interface FileSource extends ByteSource {
  readonly size: number;
  /** Reads on to the end. @returns SHA-256 of all bytes of the file, in hexadecimal */
  finish(): Promise<string>;
  close(): Promise<void>;
}

/**
 * A file as a source; its hash is taken from the same bytes as they pass, so nothing is read twice.
 * @throws {InputError} `unreadable`: missing, a folder, something that is no plain file, or not allowed
 */
export async function openFile(path: string): Promise<FileSource> {
  const handle = await openPlainFile(path);
  const size = (await handle.stat()).size;
  const hash = createHash('sha256');
  let queue: Promise<number> = Promise.resolve(0);
  const readNow = async (target: Uint8Array): Promise<number> => {
    const { bytesRead } = await handle.read(target, 0, target.length, null).catch(refuse);
    hash.update(target.subarray(0, bytesRead));
    return bytesRead;
  };
  // one read after the other, also when a stream that was left early still has one in flight: else the hash would mix them up
  const readInto = (target: Uint8Array): Promise<number> => {
    queue = queue.then(() => readNow(target));
    return queue;
  };
  return {
    size,
    readInto,
    async finish() {
      const block = new Uint8Array(DRAIN_BLOCK);
      while ((await readInto(block)) > 0);
      return hash.digest('hex');
    },
    close: () => handle.close(),
  };
}

async function openPlainFile(path: string): Promise<FileHandle> {
  const found = await stat(path).catch(refuse);
  if (found.isDirectory()) throw new InputError('unreadable', 'is a folder: give the scans in it one by one');
  if (!found.isFile()) throw new InputError('unreadable', 'is not a plain file: copy the scan to a file first');
  return open(path, 'r').catch(refuse);
}

const REASONS: Readonly<Record<string, string>> = {
  ENOENT: 'there is no such file: check the name and the folder it is looked for in',
  ENOTDIR: 'there is no such file: a part of its path is not a folder',
  EACCES: 'may not be read by this user: change its permissions',
  EPERM: 'may not be read by this user: change its permissions',
  ENAMETOOLONG: 'there is no such file: its name is longer than the file system allows',
  ELOOP: 'there is no such file: its symbolic links lead in a circle',
  EIO: 'the disk reports a fault while reading: copy the scan again',
};

function refuse(error: NodeJS.ErrnoException): never {
  if (error.code === undefined) throw error;
  throw new InputError('unreadable', REASONS[error.code] ?? `cannot be read (${error.code})`);
}
