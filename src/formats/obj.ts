import { InputError } from '../geometry/input-error.ts';
import type { Scan } from '../geometry/scan.ts';
import type { ByteReader } from './byte-reader.ts';
import { isCoordinate, refuseCoordinate } from './coordinates.ts';
import { finishScan } from './finish-scan.ts';
import type { Head } from './format.ts';
import { IndexSink } from './index-sink.ts';
import { PointSink } from './point-sink.ts';
import { type Line, readLines } from './read-lines.ts';
import { isNotFinite, Tokens } from './tokens.ts';

const BACKSLASH = 92;
const SLASH = 47;
const SPACE = 32;
const LETTER_V = 118;
const LETTER_F = 102;

export function isObj({ text }: Head): boolean {
  return /^[ \t]*v[ \t]+[-+.\d]/m.test(text);
}

/**
 * Wavefront OBJ: only vertices and faces count. Faces of any number of corners are split into fans; indices may be negative (counted back from
 * the last vertex so far); what follows the three coordinates (a weight, a colour) is passed over.
 *
 * @throws {InputError} `truncated`, `no-points`, `not-finite`, `malformed`, `too-large`
 */
export async function readObj(reader: ByteReader): Promise<Scan> {
  const parser = new ObjParser();
  const joiner = new LineJoiner((line) => parser.takeLine(line));
  await readLines(reader, 0, (line) => joiner.take(line));
  joiner.finish();
  parser.checkIndices();
  return finishScan(parser.points, parser.faces, { format: 'obj', dropped: {}, warnings: parser.warnings });
}

/** Joins lines that end in a backslash with the next. */
class LineJoiner {
  readonly #onLine: (line: Line) => void;
  #held: number[] = [];
  #number = 0;

  constructor(onLine: (line: Line) => void) {
    this.#onLine = onLine;
  }

  take(line: Line): void {
    let to = line.to;
    while (to > line.from && line.bytes[to - 1] <= SPACE) to -= 1;
    const goesOn = to > line.from && line.bytes[to - 1] === BACKSLASH;
    if (!goesOn && this.#held.length === 0) {
      this.#onLine(line);
      return;
    }
    for (let at = line.from; at < (goesOn ? to - 1 : to); at++) this.#held.push(line.bytes[at]);
    this.#held.push(SPACE);
    this.#number = line.number;
    if (!goesOn) this.#pass(line.ended);
  }

  /** A last line that ends in a backslash is one without its end. */
  finish(): void {
    if (this.#held.length > 0) this.#pass(false);
  }

  #pass(ended: boolean): void {
    const bytes = Uint8Array.from(this.#held);
    this.#held = [];
    this.#onLine({ bytes, from: 0, to: bytes.length, number: this.#number, ended });
  }
}

class ObjParser {
  readonly points = new PointSink('double');
  readonly faces = new IndexSink();
  readonly warnings: string[] = [];
  readonly #tokens = new Tokens();
  readonly #corners: number[] = [];
  /** Largest index so far and where it stands: a face may come before its vertices. */
  #mostIndex = -1;
  #mostLine = 0;

  takeLine(line: Line): void {
    const tokens = this.#tokens;
    tokens.splitWords(line);
    if (!line.ended && tokens.count > 0) this.warnings.push('the last line has no end: the file may be cut off');
    if (tokens.count === 0 || tokens.length(0) !== 1) return;
    const keyword = tokens.firstByte(0);
    if (keyword === LETTER_V) this.#takeVertex(line);
    else if (keyword === LETTER_F) this.#takeFace(line);
  }

  checkIndices(): void {
    if (this.points.count === 0 || this.#mostIndex < this.points.count) return;
    throw new InputError(
      'malformed',
      `line ${this.#mostLine} refers to vertex ${this.#mostIndex + 1}, the file has ${this.points.count}: it is damaged or cut off; export it again`,
    );
  }

  #takeVertex(line: Line): void {
    const tokens = this.#tokens;
    if (tokens.count < 4) throw tooFew(line, 'a vertex with fewer than three coordinates');
    const x = tokens.number(1);
    const y = tokens.number(2);
    const z = tokens.number(3);
    if (!isCoordinate(x) || !isCoordinate(y) || !isCoordinate(z)) this.#refuse(line.number);
    this.points.add(x, y, z);
  }

  #refuse(line: number): never {
    const index = [1, 2, 3].find((i) => !isCoordinate(this.#tokens.number(i))) as number;
    const word = this.#tokens.text(index);
    if (!Number.isNaN(this.#tokens.number(index)) || isNotFinite(word)) throw refuseCoordinate(`line ${line}`, word);
    throw new InputError('malformed', `line ${line}: \`${word.slice(0, 40)}\` is not a number: export it again`);
  }

  #takeFace(line: Line): void {
    const corners = this.#corners;
    const count = this.#tokens.count - 1;
    if (count < 3) throw tooFew(line, 'a face with fewer than three corners');
    for (let i = 0; i < count; i++) corners[i] = this.#corner(i + 1, line.number);
    for (let i = 2; i < count; i++) this.faces.addTriangle(corners[0], corners[i - 1], corners[i]);
  }

  /** @returns index of a vertex, counted from 0 */
  #corner(word: number, line: number): number {
    const written = this.#tokens.integerBefore(word, SLASH);
    const index = written < 0 ? this.points.count + written : written - 1;
    if (!(index >= 0)) {
      throw new InputError(
        'malformed',
        `line ${line}: \`${this.#tokens.text(word).slice(0, 40)}\` is not a vertex of this file: export it again`,
      );
    }
    if (index > this.#mostIndex) {
      this.#mostIndex = index;
      this.#mostLine = line;
    }
    return index;
  }
}

function tooFew(line: Line, what: string): InputError {
  if (line.ended) return new InputError('malformed', `line ${line.number}: ${what}: export it again`);
  return new InputError('truncated', `ends in the middle of line ${line.number}: it is cut off; export it again`);
}
