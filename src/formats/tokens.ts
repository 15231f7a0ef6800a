import type { Line } from './read-lines.ts';

const SPACE = 32;
const ZERO = 48;
const NINE = 57;
const PLUS = 43;
const MINUS = 45;
const POINT = 46;
/** Decimal digits whose integer a double always holds exactly. */
const EXACT_DIGITS = 15;
/** The largest power of ten that a double holds exactly is 10²². */
const POWERS = Float64Array.from({ length: 23 }, (_, exponent) => Number(`1e${exponent}`));
const NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$/;
const NOT_FINITE = /^[+-]?(nan\b.*|inf(inity)?|\d\.#(ind|inf|qnan|snan).*)$/i;

/** Words of a line, parted by white space; filled anew for each line so that no line costs an allocation. */
export class Tokens {
  count = 0;
  #bytes: Uint8Array = new Uint8Array(0);
  readonly #starts: number[] = [];
  readonly #ends: number[] = [];

  split(line: Line): void {
    const { bytes, to } = line;
    this.#bytes = bytes;
    this.count = 0;
    for (let at = line.from; at < to; ) {
      while (at < to && bytes[at] <= SPACE) at += 1;
      if (at === to) return;
      const start = at;
      while (at < to && bytes[at] > SPACE) at += 1;
      this.#put(start, at);
    }
  }

  text(index: number): string {
    return Buffer.from(this.#bytes.buffer, this.#bytes.byteOffset + this.#starts[index], this.#ends[index] - this.#starts[index]).toString('latin1');
  }

  /** First byte of a word, which tells most keywords apart. */
  firstByte(index: number): number {
    return this.#bytes[this.#starts[index]];
  }

  /** @returns the number that the word spells, correctly rounded; NaN when it spells none: see `isNotFinite` */
  number(index: number): number {
    return parseNumber(this.#bytes, this.#starts[index], this.#ends[index]);
  }

  #put(start: number, end: number): void {
    this.#starts[this.count] = start;
    this.#ends[this.count] = end;
    this.count += 1;
  }
}

/** Whether a word spells NaN or infinity in one of the ways that C libraries print them. */
export function isNotFinite(word: string): boolean {
  return NOT_FINITE.test(word);
}

/**
 * Decimal number in `bytes[from, to)`. Up to 15 digits and 22 places are one exact division or product, hence correctly rounded; the rest is left to `Number`.
 * @see W. D. Clinger, How to read floating point numbers accurately (1990)
 */
export function parseNumber(bytes: Uint8Array, from: number, to: number): number {
  let at = from;
  const sign = bytes[at];
  if (sign === MINUS || sign === PLUS) at += 1;
  let digits = 0;
  let places = 0;
  let whole = 0;
  let pointSeen = false;
  for (; at < to; at++) {
    const byte = bytes[at];
    if (byte >= ZERO && byte <= NINE) {
      whole = 10 * whole + (byte - ZERO);
      digits += 1;
      if (pointSeen) places += 1;
    } else if (byte === POINT && !pointSeen) pointSeen = true;
    else return parseSlowly(bytes, from, to);
  }
  if (digits === 0 || digits > EXACT_DIGITS) return parseSlowly(bytes, from, to);
  const value = whole / POWERS[places];
  return sign === MINUS ? -value : value;
}

function parseSlowly(bytes: Uint8Array, from: number, to: number): number {
  const text = Buffer.from(bytes.buffer, bytes.byteOffset + from, to - from).toString('latin1');
  return NUMBER.test(text) ? Number(text) : Number.NaN;
}
