import type { Line } from './read-lines.ts';

const SPACE = 32;
const QUOTE = 34;
const ZERO = 48;
const NINE = 57;
/** The bit that tells small from capital letters. */
const LOWER_CASE = 32;
const PLUS = 43;
const MINUS = 45;
const POINT = 46;
/** Decimal digits whose integer a double always holds exactly. */
const EXACT_DIGITS = 15;
/** The largest power of ten that a double holds exactly is 10²². */
const POWERS = Float64Array.from({ length: 23 }, (_, exponent) => Number(`1e${exponent}`));
const NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$/;
const NOT_FINITE = /^[+-]?(nan\b.*|inf(inity)?|\d\.#(ind|inf|qnan|snan).*)$/i;

/** Words of a line; filled anew for each line so that no line costs an allocation. */
export class Tokens {
  count = 0;
  #bytes: Uint8Array = new Uint8Array(0);
  readonly #starts: number[] = [];
  readonly #ends: number[] = [];

  /** Words between white space; a comma counts as white space when `separator` is one. */
  splitWords(line: Line, separator: number = SPACE): void {
    const { bytes, to } = line;
    this.#bytes = bytes;
    this.count = 0;
    for (let at = line.from; at < to; ) {
      while (at < to && (bytes[at] <= SPACE || bytes[at] === separator)) at += 1;
      if (at === to) return;
      const start = at;
      while (at < to && bytes[at] > SPACE && bytes[at] !== separator) at += 1;
      this.#put(start, at);
    }
  }

  /** Fields between single separators, without the white space and the double quotes around them; fields may be empty. */
  splitFields(line: Line, separator: number): void {
    const { bytes, to } = line;
    this.#bytes = bytes;
    this.count = 0;
    for (let at = line.from; at <= to; at++) {
      const start = at;
      let quoted = false;
      for (; at < to && (quoted || bytes[at] !== separator); at++) if (bytes[at] === QUOTE) quoted = !quoted;
      this.#putTrimmed(start, at);
    }
  }

  text(index: number): string {
    return asText(this.#bytes, this.#starts[index], this.#ends[index]);
  }

  /** Whether a word is `keyword` in any case. @param keyword  lower-case ASCII letters */
  is(index: number, keyword: string): boolean {
    if (index >= this.count) return false;
    const start = this.#starts[index];
    if (this.#ends[index] - start !== keyword.length) return false;
    for (let i = 0; i < keyword.length; i++) if ((this.#bytes[start + i] | LOWER_CASE) !== keyword.charCodeAt(i)) return false;
    return true;
  }

  /** First byte of a word, which tells most keywords apart. */
  firstByte(index: number): number {
    return this.#bytes[this.#starts[index]];
  }

  length(index: number): number {
    return this.#ends[index] - this.#starts[index];
  }

  /** @returns whichever of the two bytes comes first in the word; undefined when neither is in it */
  firstOf(index: number, one: number, other: number): number | undefined {
    for (let at = this.#starts[index]; at < this.#ends[index]; at++) {
      const byte = this.#bytes[at];
      if (byte === one || byte === other) return byte;
    }
    return undefined;
  }

  /**
   * @param mark  byte between units and tenths
   * @returns the number that the word spells, correctly rounded; NaN when it spells none: see `isNotFinite`
   */
  number(index: number, mark: number = POINT): number {
    return parseNumber(this.#bytes, this.#starts[index], this.#ends[index], mark);
  }

  /** @returns the whole number that the word begins with, up to its end or `stop`; NaN when there is none */
  integerBefore(index: number, stop: number): number {
    let end = this.#starts[index];
    while (end < this.#ends[index] && this.#bytes[end] !== stop) end += 1;
    const value = parseNumber(this.#bytes, this.#starts[index], end, POINT);
    return Number.isInteger(value) ? value : Number.NaN;
  }

  #putTrimmed(from: number, to: number): void {
    const bytes = this.#bytes;
    while (from < to && (bytes[from] <= SPACE || bytes[from] === QUOTE)) from += 1;
    while (from < to && (bytes[to - 1] <= SPACE || bytes[to - 1] === QUOTE)) to -= 1;
    this.#put(from, to);
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
 * Decimal number in `bytes[from, to)`, with `mark` between units and tenths. Up to 15 digits and 22 places are one exact division or product, hence correctly rounded; the rest is left to `Number`.
 * @see W. D. Clinger, How to read floating point numbers accurately (1990)
 */
function parseNumber(bytes: Uint8Array, from: number, to: number, mark: number): number {
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
    } else if (byte === mark && !pointSeen) pointSeen = true;
    else return parseSlowly(bytes, from, to, mark);
  }
  if (digits === 0 || digits > EXACT_DIGITS) return parseSlowly(bytes, from, to, mark);
  const value = whole / POWERS[places];
  return sign === MINUS ? -value : value;
}

function parseSlowly(bytes: Uint8Array, from: number, to: number, mark: number): number {
  const written = asText(bytes, from, to);
  const text = mark === POINT ? written : written.replaceAll('.', '?').replace(String.fromCharCode(mark), '.');
  return NUMBER.test(text) ? Number(text) : Number.NaN;
}

function asText(bytes: Uint8Array, from: number, to: number): string {
  return Buffer.from(bytes.buffer, bytes.byteOffset + from, to - from).toString('latin1');
}
