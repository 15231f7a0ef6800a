import { InputError } from '../geometry/input-error.ts';
import type { Scan } from '../geometry/scan.ts';
import type { ByteReader } from './byte-reader.ts';
import { isCoordinate, refuseCoordinate } from './coordinates.ts';
import { finishScan } from './finish-scan.ts';
import type { Head } from './format.ts';
import { PointSink } from './point-sink.ts';
import { type Line, readLines } from './read-lines.ts';
import { type TextLayout, textLayout } from './text-layout.ts';
import { isNotFinite, Tokens } from './tokens.ts';

const POINT = 46;
const COMMA = 44;
const HASH = 35;

/**
 * Text with a point a line (.xyz, .asc, .pts, .txt, .csv): fields parted by white space, commas or semicolons, perhaps quoted; comments, a count
 * line and names of columns in front; further columns are passed over. A decimal comma is understood where commas do not part fields.
 * A count line that promises too little is a warning, since every row is complete in itself; one that promises too much is a refusal.
 *
 * @throws {InputError} `not-a-scan`, `truncated`, `not-finite`, `malformed`, `unsupported`, `too-large`
 */
export async function readTextCloud(reader: ByteReader, head: Head): Promise<Scan> {
  const layout = textLayout(head);
  if (layout === undefined) throw new InputError('not-a-scan', 'is text without a line of three coordinates');
  const rows = new TextRows(layout);
  await readLines(reader, 0, (line) => rows.takeLine(line));
  return finishScan(rows.points, undefined, { format: 'text', dropped: {}, warnings: [...layout.warnings, ...rows.finish()] });
}

class TextRows {
  readonly points = new PointSink('double');
  readonly #layout: TextLayout;
  readonly #tokens = new Tokens();
  readonly #warnings: string[] = [];
  /** Byte between units and tenths; undefined until a number shows it. */
  #mark: number | undefined;
  #promised: number | undefined;

  constructor(layout: TextLayout) {
    this.#layout = layout;
    this.#promised = layout.promised;
  }

  takeLine(line: Line): void {
    if (line.number <= this.#layout.preamble) return;
    const { separator, columns, width } = this.#layout;
    const tokens = this.#tokens;
    tokens.splitWords(line);
    if (tokens.count === 0 || tokens.firstByte(0) === HASH) return;
    if (this.#isNextCount(line)) return;
    if (separator !== undefined) tokens.splitFields(line, separator);
    if (!line.ended && tokens.count < width)
      throw new InputError('truncated', `ends in the middle of line ${line.number}: it is cut off; export it again`);
    if (tokens.count <= Math.max(...columns)) {
      throw new InputError('malformed', `line ${line.number} has ${tokens.count} fields, the first point has ${width}: export it again`);
    }
    this.points.add(this.#coordinate(columns[0], line), this.#coordinate(columns[1], line), this.#coordinate(columns[2], line));
    if (!line.ended && this.#promised === undefined) this.#warnings.push('the last line has no end: the file may be cut off');
  }

  /** @returns warnings. @throws {InputError} `truncated` when a count line promises more */
  finish(): readonly string[] {
    const promised = this.#promised;
    const found = this.points.count;
    if (promised === undefined || promised === found) return this.#warnings;
    if (promised > found)
      throw new InputError(
        'truncated',
        `count line promises ${promised} points, the file ends after ${found}: it is cut off; export it again`,
      );
    return [...this.#warnings, `count line promises ${promised} points, the file has ${found}: all were read`];
  }

  /** A file of several scans repeats the count line in front of each. */
  #isNextCount(line: Line): boolean {
    if (this.#promised === undefined || this.#tokens.count !== 1 || this.points.count !== this.#promised || !line.ended) return false;
    const count = this.#tokens.number(0);
    if (!Number.isInteger(count)) return false;
    this.#promised += count;
    return true;
  }

  #coordinate(column: number, line: Line): number {
    const tokens = this.#tokens;
    this.#mark ??= tokens.firstOf(column, POINT, COMMA);
    const value = tokens.number(column, this.#mark ?? POINT);
    if (isCoordinate(value)) return value;
    const word = tokens.text(column).slice(0, 40);
    if (!Number.isNaN(value) || isNotFinite(word)) throw refuseCoordinate(`line ${line.number}`, word);
    const mark = this.#mark === COMMA ? 'comma' : 'point';
    const mixed = tokens.firstOf(column, POINT, COMMA) !== undefined ? `, where numbers before it have a decimal ${mark}` : '';
    throw new InputError('malformed', `line ${line.number}: \`${word}\` is not a number${mixed}: export it again`);
  }
}
