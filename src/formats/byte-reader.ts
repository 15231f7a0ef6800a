import { InputError } from '../geometry/input-error.ts';
import type { ByteSource } from './byte-source.ts';

/** Bytes: few enough reads to cost nothing, small enough to stay in the cache of one core. */
const WINDOW = 1 << 20;
/** Bytes: with the copy that parsing makes it still fits into a worker. */
const MOST_IN_ONE_PIECE = 2 ** 30;

/**
 * A window that moves over a source. Only what lies between `start` and `end` is held, so memory does not grow with the file.
 * Readers work on `bytes` or `view` in plain loops and ask for more only when the window is used up.
 */
export class ByteReader {
  /** Replaced when the window grows: take it anew after every `await`. */
  bytes = new Uint8Array(WINDOW);
  view = new DataView(this.bytes.buffer);
  /** First byte not yet consumed, within `bytes`. */
  start = 0;
  /** End of what was read so far, within `bytes`. */
  end = 0;
  /** Bytes consumed before `start`. */
  consumed = 0;
  readonly size: number | undefined;
  readonly #source: ByteSource;
  #ended = false;

  constructor(source: ByteSource) {
    this.#source = source;
    this.size = source.size;
  }

  /** Bytes in the window. */
  get available(): number {
    return this.end - this.start;
  }

  consume(count: number): void {
    this.start += count;
    this.consumed += count;
  }

  /** Reads at least one more byte into the window, which grows when it is full. @returns false at the end of the source */
  async more(): Promise<boolean> {
    if (this.#ended) return false;
    this.#makeRoom();
    const count = await this.#source.readInto(this.bytes.subarray(this.end));
    if (count === 0) this.#ended = true;
    this.end += count;
    return count > 0;
  }

  /** @returns whether the window holds `count` bytes now; false when the source ends before */
  async ensure(count: number): Promise<boolean> {
    while (this.available < count) if (!(await this.more())) return false;
    return true;
  }

  /** Consumes what is left. @returns how many bytes that was */
  async skipRest(): Promise<number> {
    let count = 0;
    do {
      count += this.available;
      this.consume(this.available);
    } while (await this.more());
    return count;
  }

  /**
   * All that is left, in one piece: only for formats that cannot be read in order.
   * @throws {InputError} `too-large` past `MOST_IN_ONE_PIECE`
   */
  async rest(): Promise<Uint8Array> {
    while (await this.more()) {
      if (this.available > MOST_IN_ONE_PIECE)
        throw new InputError('too-large', `is larger than ${MOST_IN_ONE_PIECE / 2 ** 30} GiB: export it as binary PLY`);
    }
    const rest = this.bytes.slice(this.start, this.end);
    this.consume(this.available);
    return rest;
  }

  #makeRoom(): void {
    if (this.start > 0) {
      this.bytes.copyWithin(0, this.start, this.end);
      this.end -= this.start;
      this.start = 0;
    }
    if (this.end < this.bytes.length) return;
    const grown = new Uint8Array(this.bytes.length * 2);
    grown.set(this.bytes);
    this.bytes = grown;
    this.view = new DataView(grown.buffer);
  }
}
