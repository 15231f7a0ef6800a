import { InputError } from '../geometry/input-error.ts';
import type { Scan } from '../geometry/scan.ts';
import type { ByteReader } from './byte-reader.ts';
import { isCoordinate, refuseCoordinate } from './coordinates.ts';
import { finishScan } from './finish-scan.ts';
import { IndexSink } from './index-sink.ts';
import { PointSink } from './point-sink.ts';
import { type Line, readLines } from './read-lines.ts';
import { isNotFinite, Tokens } from './tokens.ts';

/**
 * STL as text: several solids, empty ones among them, keywords in any case, white space and line ends anywhere between words.
 * @throws {InputError} `truncated`, `no-points`, `not-finite`, `malformed`, `too-large`
 */
export async function readStlAscii(reader: ByteReader): Promise<Scan> {
  const parser = new StlParser();
  await readLines(reader, 0, (line) => parser.takeLine(line));
  parser.finish();
  if (parser.points.count === 0) throw new InputError('no-points', 'is an STL file with no facets: export the scan again');
  return finishScan(parser.points, parser.faces, { format: 'stl-ascii', dropped: {}, warnings: [] });
}

/** What the next word must be; `name` and `end-name` are any words, `skip` and `number` are numbers. */
type Expected =
  | 'solid'
  | 'name'
  | 'facet'
  | 'normal'
  | 'skip'
  | 'outer'
  | 'loop'
  | 'vertex'
  | 'number'
  | 'endloop'
  | 'endfacet'
  | 'end-name';

class StlParser {
  readonly points = new PointSink('double');
  readonly faces = new IndexSink();
  readonly #tokens = new Tokens();
  readonly #corner = new Float64Array(3);
  #expected: Expected = 'solid';
  /** Numbers still to come for a normal or a corner. */
  #left = 0;
  #corners = 0;
  #facets = 0;

  takeLine(line: Line): void {
    this.#tokens.splitWords(line);
    for (let i = 0; i < this.#tokens.count; i++) this.#take(i, line);
  }

  /** @throws {InputError} `truncated` unless the last solid was closed */
  finish(): void {
    if (this.#expected === 'solid' || this.#expected === 'end-name') return;
    throw this.#cutOff();
  }

  #cutOff(): InputError {
    return new InputError(
      'truncated',
      `ends within a solid, after ${this.#facets} whole facets and without \`endsolid\`: it is cut off; export it again`,
    );
  }

  /** A wrong word at the very end of the file is the beginning of a right one. */
  #refuse(index: number, line: Line, what: string): InputError {
    if (!line.ended && index === this.#tokens.count - 1) return this.#cutOff();
    return new InputError('malformed', `line ${line.number}: ${what}: export it again`);
  }

  #take(index: number, line: Line): void {
    if (this.#expected === 'number') {
      this.#takeNumber(index, line);
      return;
    }
    if (this.#expected === 'skip') {
      this.#left -= 1; // a normal is not needed, and often wrong or not finite
      if (this.#left === 0) this.#expected = 'outer';
      return;
    }
    const next = this.#next(index);
    if (next === undefined) {
      throw this.#refuse(index, line, `expected \`${this.#expected}\`, found \`${this.#tokens.text(index).slice(0, 40)}\``);
    }
    this.#expected = next;
  }

  #next(index: number): Expected | undefined {
    const is = (keyword: string): boolean => this.#tokens.is(index, keyword);
    switch (this.#expected) {
      case 'solid':
        return is('solid') ? 'name' : undefined;
      case 'end-name':
        return index === 0 && is('solid') ? 'name' : 'end-name';
      case 'name':
        if (is('facet') && (index === 0 || this.#tokens.is(index + 1, 'normal'))) return 'normal'; // else a word of the name
        return is('endsolid') ? 'end-name' : 'name';
      case 'facet':
        if (is('facet')) return 'normal';
        return is('endsolid') ? 'end-name' : undefined;
      case 'normal':
        this.#left = 3;
        return is('normal') ? 'skip' : undefined;
      case 'outer':
        return is('outer') ? 'loop' : undefined;
      case 'loop':
        this.#corners = 0;
        return is('loop') ? 'vertex' : undefined;
      case 'vertex':
        this.#left = 3;
        return is('vertex') ? 'number' : undefined;
      case 'endloop':
        return is('endloop') ? this.#endFacet() : undefined;
      case 'endfacet':
        return is('endfacet') ? 'facet' : undefined;
      default:
        return undefined;
    }
  }

  #endFacet(): Expected {
    this.faces.addTriangle(this.points.count - 3, this.points.count - 2, this.points.count - 1);
    this.#facets += 1;
    return 'endfacet';
  }

  #takeNumber(index: number, line: Line): void {
    const value = this.#tokens.number(index);
    if (!isCoordinate(value)) {
      const word = this.#tokens.text(index);
      if (!Number.isNaN(value) || isNotFinite(word)) throw refuseCoordinate(`line ${line.number}`, word);
      throw this.#refuse(index, line, `\`${word.slice(0, 40)}\` is not a number`);
    }
    this.#corner[3 - this.#left] = value;
    this.#left -= 1;
    if (this.#left > 0) return;
    this.points.add(this.#corner[0], this.#corner[1], this.#corner[2]);
    this.#corners += 1;
    this.#expected = this.#corners === 3 ? 'endloop' : 'vertex';
  }
}
