import { Readable } from 'node:stream';
import { createGunzip } from 'node:zlib';
import { InputError } from '../geometry/input-error.ts';
import type { ByteSource } from './byte-source.ts';

/** Expanded bytes that pass whatever the ratio: zero-filled headers and regular grids compress well while small. */
export const FREE_BYTES = 16 * 2 ** 20;
/** Expanded to packed. Binary scans reach 2 to 5 and text grids about 40; deflate can reach 1032. */
const MOST_RATIO = 150;
/** Bytes: a text cloud of 60 million points with colours takes about as much. */
const MOST_BYTES = 4 * 2 ** 30;
const PACKED_BLOCK = 1 << 16;

/**
 * Expands gzip in a stream, in bounded memory.
 * @throws {InputError} from `readInto`: `too-large` past `MOST_BYTES` or `MOST_RATIO`, `truncated` when the packed bytes end early, `malformed` when damaged
 */
export function gunzipSource(packed: ByteSource): ByteSource {
  let expandedCount = 0;
  async function* packedBlocks(): AsyncGenerator<Uint8Array> {
    for (;;) {
      const block = new Uint8Array(PACKED_BLOCK);
      const count = await packed.readInto(block);
      if (count === 0) return;
      yield block.subarray(0, count);
    }
  }
  const expander = createGunzip();
  const input = Readable.from(packedBlocks());
  input.on('error', (error) => expander.destroy(error)); // pipe does not pass errors on
  const blocks = input.pipe(expander)[Symbol.asyncIterator]() as AsyncIterator<Uint8Array>;
  let block = new Uint8Array(0);
  return {
    size: undefined,
    async readInto(target) {
      if (block.length === 0) {
        block = await nextBlock(blocks);
        expandedCount += block.length;
        refuseBomb(expandedCount, expander.bytesWritten);
      }
      const count = Math.min(target.length, block.length);
      target.set(block.subarray(0, count));
      block = block.subarray(count);
      return count;
    },
  };
}

async function nextBlock(blocks: AsyncIterator<Uint8Array>): Promise<Uint8Array<ArrayBuffer>> {
  try {
    const next = await blocks.next();
    return next.done === true ? new Uint8Array(0) : Uint8Array.from(next.value);
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code;
    if (code === 'Z_BUF_ERROR') throw new InputError('truncated', 'the gzip stream ends early: the file is cut off; copy it again');
    if (code?.startsWith('Z_'))
      throw new InputError('malformed', `the gzip stream is damaged (${(error as Error).message}): copy it again`);
    throw error;
  }
}

function refuseBomb(expanded: number, packed: number): void {
  if (expanded > MOST_BYTES) throw new InputError('too-large', `expands to more than ${MOST_BYTES / 2 ** 30} GiB: thin the scan first`);
  if (expanded > FREE_BYTES && expanded > MOST_RATIO * packed) {
    throw new InputError(
      'too-large',
      `expands to more than ${MOST_RATIO} times its size: no scan packs so well; unpack it yourself if it is one`,
    );
  }
}
