import { InputError } from '../geometry/input-error.ts';

/** Below this a control byte announces literal bytes, from here on a copy of earlier output. */
const LITERALS = 32;
/** Length code of a copy that is continued in a further byte. */
const LONG = 7;

/**
 * Expands an LZF block.
 * @param length  of the expanded bytes
 * @throws {InputError} `malformed` when the block does not expand to just that
 * @see the format as documented by liblzf (lzf_d.c): literal runs 000LLLLL, copies LLLooooo oooooooo, long copies 111ooooo LLLLLLLL oooooooo
 */
export function expandLzf(packed: Uint8Array, length: number): Uint8Array<ArrayBuffer> {
  const output = new Uint8Array(length);
  let at = 0;
  let out = 0;
  while (at < packed.length) {
    const control = packed[at++];
    if (control < LITERALS) {
      const count = control + 1;
      if (at + count > packed.length || out + count > length) throw damaged();
      output.set(packed.subarray(at, at + count), out);
      at += count;
      out += count;
      continue;
    }
    let count = control >> 5;
    if (count === LONG) count += packed[at++];
    count += 2;
    let from = out - ((control & 31) << 8) - packed[at++] - 1;
    if (!(from >= 0) || out + count > length || at > packed.length) throw damaged();
    for (const end = out + count; out < end; ) output[out++] = output[from++]; // byte by byte: a copy may overlap itself
  }
  if (out !== length) throw damaged();
  return output;
}

function damaged(): InputError {
  return new InputError('malformed', 'the compressed block is damaged: export it again');
}
