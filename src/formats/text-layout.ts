import { InputError } from '../geometry/input-error.ts';
import type { Head } from './format.ts';

/** How a text cloud is laid out, as its beginning shows. */
export interface TextLayout {
  /** Byte between fields; undefined for white space. */
  readonly separator: number | undefined;
  /** Which fields are x, y, z, counted from 0. */
  readonly columns: readonly [number, number, number];
  /** Fields of the first row. */
  readonly width: number;
  /** Lines before the first row. */
  readonly preamble: number;
  /** Number of points that a count line promises. */
  readonly promised: number | undefined;
  readonly warnings: readonly string[];
}

/** Lines before the first point, at most: more is a document with numbers in it. */
const LONGEST_PREAMBLE = 40;
/** Rows that must count up by one before a first column is taken for row numbers. */
const LEAST_NUMBERED = 8;
const FIRST_COLUMNS = [0, 1, 2] as const;
const COMMENT = /^(#|\/\/|%|!)+/;
const COUNT = /^\d+$/;
/** A number with a point or a comma before its tenths, or one of the words for values that are not finite. */
const NUMBER = /^[+-]?((\d+[.,]?\d*|[.,]\d+)(e[+-]?\d+)?|nan|inf(inity)?)$/i;
const DECIMAL_COMMA = /^[+-]?\d*,\d+(e[+-]?\d+)?$/i;
const AXIS_NAME = /^(?:(?:pos|position|coord|coordinate|point)[_ ]?)?([xyz])(?:[_ -](?:mm|cm|m|in|coord|coordinate))?$/;

/**
 * Looks for the first line with three numbers and at what precedes it: comments, a count, names of columns.
 * @returns undefined when the text is no list of points
 * @throws {InputError} `malformed` when it is one but its columns are unclear; `unsupported` for PTX
 */
export function textLayout({ text, whole }: Head): TextLayout | undefined {
  const lines = text.split(/\r\n|\n|\r/);
  if (!whole) lines.pop();
  const names: string[] = [];
  let promised: number | undefined;
  for (let i = 0; i < Math.min(lines.length, LONGEST_PREAMBLE); i++) {
    const line = lines[i].trim();
    if (line === '') continue;
    if (COUNT.test(line)) {
      if (promised !== undefined) throw new InputError('unsupported', 'looks like a PTX grid: export it as PTS, XYZ or PLY');
      promised = Number(line);
      continue;
    }
    const separator = separatorOf(line);
    const fields = fieldsOf(line, separator);
    if (!isRow(fields, namedColumns(names) ?? FIRST_COLUMNS)) {
      names.push(line);
      continue;
    }
    const rest = lines.slice(i).filter((row) => row.trim() !== '');
    return {
      separator: separator?.charCodeAt(0),
      width: fields.length,
      preamble: i,
      promised,
      ...findColumns(names, fields.length, rest, separator),
    };
  }
  return undefined;
}

function isRow(fields: readonly string[], columns: TextLayout['columns']): boolean {
  return columns.every((column) => column < fields.length && NUMBER.test(fields[column]));
}

/** @returns undefined for white space */
function separatorOf(line: string): string | undefined {
  const bare = line.replace(/"[^"]*"/g, '0');
  if (bare.includes(';')) return ';';
  if (!bare.includes(',')) return undefined;
  // `1,5 2,5 3,5`: commas inside every word and none between them
  const words = bare.trim().split(/\s+/);
  const withComma = words.filter((word) => word.includes(','));
  return words.length >= 3 && withComma.every((word) => DECIMAL_COMMA.test(word)) ? undefined : ',';
}

function fieldsOf(line: string, separator: string | undefined): string[] {
  const held: string[] = [];
  const bare = line.replace(/"([^"]*)"/g, (_, inner: string) => `\u0000${held.push(inner) - 1}\u0000`);
  const fields = separator === undefined ? bare.trim().split(/\s+/) : bare.split(separator);
  return fields.map((field) => field.replace(/\u0000(\d+)\u0000/g, (_, index: string) => held[Number(index)]).trim());
}

type Columns = Pick<TextLayout, 'columns' | 'warnings'>;

function findColumns(headings: readonly string[], width: number, rows: readonly string[], separator: string | undefined): Columns {
  const columns = namedColumns(headings);
  if (columns !== undefined) return { columns, warnings: [] };
  const titles = headings.filter((heading) => !COMMENT.test(heading));
  const unclear = headings.find((heading) => axesIn(heading).length >= 2) ?? titles.find((title) => namesIn(title).length === width);
  if (unclear !== undefined) {
    throw new InputError(
      'malformed',
      `header \`${unclear.slice(0, 60)}\` does not name one x, one y and one z: name the columns, or take the header out`,
    );
  }
  const skipped =
    titles.length > 0 ? [`${titles.length} lines before the first point name no columns: the first three columns were taken`] : [];
  if (!isNumbered(rows, width, separator)) return { columns: FIRST_COLUMNS, warnings: skipped };
  return { columns: [1, 2, 3], warnings: [...skipped, 'the first column counts the rows: the three after it were taken'] };
}

/** Columns as the last heading that names x, y and z, each once, has them. */
function namedColumns(headings: readonly string[]): TextLayout['columns'] | undefined {
  const heading = headings.findLast((candidate) => axesIn(candidate).toSorted().join('') === 'xyz');
  if (heading === undefined) return undefined;
  const axes = namesIn(heading).map((name) => AXIS_NAME.exec(name)?.[1]);
  return [axes.indexOf('x'), axes.indexOf('y'), axes.indexOf('z')];
}

function axesIn(heading: string): string[] {
  return namesIn(heading).flatMap((name) => AXIS_NAME.exec(name)?.[1] ?? []);
}

/** Names of columns in lower case, without quotes, comment marks and units in brackets. */
function namesIn(heading: string): string[] {
  const bare = heading
    .replace(COMMENT, '')
    .replace(/\[[^\]]*\]|\([^)]*\)/g, ' ')
    .trim()
    .toLowerCase();
  const separator = [';', ',', '\t'].find((candidate) => bare.includes(candidate)) ?? /\s+/;
  return bare.split(separator).map((name) =>
    name
      .trim()
      .replace(/^["']|["']$/g, '')
      .trim(),
  );
}

/** Whether the first of four or more columns counts the rows up by one: no scan has such coordinates. */
function isNumbered(rows: readonly string[], width: number, separator: string | undefined): boolean {
  if (width < 4 || rows.length < LEAST_NUMBERED) return false;
  const first = rows.slice(0, 100).map((row) => fieldsOf(row, separator)[0]);
  const start = Number(first[0]);
  return (start === 0 || start === 1) && first.every((field, i) => COUNT.test(field) && Number(field) === start + i);
}
