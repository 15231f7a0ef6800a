/** Bytes in order, from a file, from memory or out of a gzip stream. */
export interface ByteSource {
  /** Bytes in all, where known beforehand (not for gzip). */
  readonly size: number | undefined;
  /** Fills the front of `target`, perhaps not all of it. @returns bytes written; 0 only at the end */
  readInto(target: Uint8Array): Promise<number>;
}

/** @param bytes  are not copied and must not change while they are read */
export function memorySource(bytes: Uint8Array): ByteSource {
  let at = 0;
  return {
    size: bytes.length,
    async readInto(target) {
      const count = Math.min(target.length, bytes.length - at);
      target.set(bytes.subarray(at, at + count));
      at += count;
      return count;
    },
  };
}
