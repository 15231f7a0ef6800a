import { readFile, stat } from 'node:fs/promises';
import { dirname, resolve } from 'node:path';
import type { z } from 'zod';
import { CATALOGUE_ROW, type CatalogueRow, NUMBER_COLUMNS } from './catalogue-schema.ts';
import { isoDate } from './iso-date.ts';
import type { Problem } from './problem.ts';
import { readTable } from './read-table.ts';

export interface CatalogueEntry {
  readonly row: CatalogueRow;
  /** Where the row stands, in words. */
  readonly place: string;
  /** Where the scan is. */
  readonly path: string;
}

export interface Catalogue {
  readonly file: string;
  readonly entries: readonly CatalogueEntry[];
  readonly problems: readonly Problem[];
}

interface RawRow {
  readonly place: string;
  readonly cells: unknown;
}

/** Reads and validates a catalogue (CSV or JSON). Every problem is reported, not just the first; rows without one are in `entries`. */
export async function readCatalogue(file: string): Promise<Catalogue> {
  const problems: Problem[] = [];
  const entries: CatalogueEntry[] = [];
  for (const { place, cells } of await rawRows(file, problems)) {
    const parsed = CATALOGUE_ROW.safeParse(cells);
    if (parsed.success) entries.push({ row: parsed.data, place, path: resolve(dirname(file), parsed.data.scan) });
    else
      problems.push(
        ...parsed.error.issues.map((issue) => ({ file, place: withColumn(place, issue.path), message: rowMessage(issue, cells) })),
      );
  }
  if (entries.length === 0 && problems.length === 0)
    problems.push({ file, message: 'holds no scan: give it a row for each scan, with at least instrument and scan' });
  problems.push(...acrossRows(file, entries), ...(await missingScans(file, entries)));
  return { file, entries, problems };
}

async function rawRows(file: string, problems: Problem[]): Promise<readonly RawRow[]> {
  let content: string;
  try {
    content = await readFile(file, 'utf8');
  } catch (error) {
    problems.push({ file, message: `cannot be read: ${(error as NodeJS.ErrnoException).code ?? (error as Error).message}` });
    return [];
  }
  try {
    return /^\uFEFF?\s*[[{]/.test(content)
      ? jsonRows(content.replace(/^\uFEFF/, ''), file, problems)
      : await csvRows(content, file, problems);
  } catch (error) {
    problems.push({ file, message: `is neither CSV nor JSON: ${(error as Error).message}` });
    return [];
  }
}

function jsonRows(content: string, file: string, problems: Problem[]): readonly RawRow[] {
  const rows: unknown = JSON.parse(content);
  if (Array.isArray(rows)) return rows.map((cells, i) => ({ place: `row ${i + 1}`, cells }));
  problems.push({ file, message: 'as JSON, a catalogue is a list of objects, one a scan' });
  return [];
}

async function csvRows(content: string, file: string, problems: Problem[]): Promise<readonly RawRow[]> {
  const { rows, separator } = await readTable(content);
  const [header = [], ...body] = rows;
  for (const column of ['instrument', 'scan']) {
    if (!header.includes(column))
      problems.push({ file, place: 'row 1', message: `has no column "${column}"; the first row names the columns` });
  }
  const twice = header.filter((column, i) => column !== '' && header.indexOf(column) !== i);
  if (twice.length > 0) problems.push({ file, place: 'row 1', message: `names the column "${twice[0]}" twice` });
  if (problems.length > 0) return [];
  return body.flatMap((cells, i) => {
    const place = `row ${i + 2}`;
    if (cells.every((cell) => cell === '')) return [];
    const surplus = cells.slice(header.length).find((cell) => cell !== '');
    if (surplus !== undefined) {
      problems.push({
        file,
        place,
        message: `has more cells than the header has columns ("${surplus}"); quote text that holds the separator`,
      });
      return [];
    }
    return [{ place, cells: Object.fromEntries(header.flatMap((column, c) => cellEntry(column, cells[c] ?? '', separator))) }];
  });
}

/** An empty cell states nothing. Where commas do not separate cells they may stand for the decimal point. */
function cellEntry(column: string, cell: string, separator: string): [string, string | number][] {
  if (cell === '' || column === '') return [];
  if (!NUMBER_COLUMNS.has(column)) return [[column, cell]];
  const number = Number(separator === ',' ? cell : cell.replace(',', '.'));
  return [[column, Number.isNaN(number) ? cell : number]];
}

const withColumn = (place: string, path: readonly PropertyKey[]): string =>
  path.length === 0 ? place : `${place}, column "${String(path[0])}"`;

function rowMessage(issue: z.core.$ZodIssue, cells: unknown): string {
  const column = issue.path[0];
  const found =
    column !== undefined && typeof cells === 'object' && cells !== null ? (cells as Record<PropertyKey, unknown>)[column] : cells;
  if (found === undefined) return 'is empty; every scan needs it';
  return `${issue.message}, found ${JSON.stringify(found)}`;
}

/** What is wrong only together with other rows. */
function acrossRows(file: string, entries: readonly CatalogueEntry[]): Problem[] {
  const problems: Problem[] = [];
  const byPath = new Map<string, CatalogueEntry>();
  const byInstrument = new Map<string, CatalogueEntry[]>();
  for (const entry of entries) {
    const first = byPath.get(entry.path);
    if (first === undefined) byPath.set(entry.path, entry);
    else problems.push({ file, place: `${entry.place}, column "scan"`, message: `the same scan as in ${first.place}: ${entry.row.scan}` });
    byInstrument.set(entry.row.instrument, [...(byInstrument.get(entry.row.instrument) ?? []), entry]);
  }
  for (const scans of byInstrument.values()) if (scans.length > 1) problems.push(...repeatProblems(file, scans));
  return problems;
}

/** Repeat scans of one instrument need an order in time and at most one baseline. */
function repeatProblems(file: string, scans: readonly CatalogueEntry[]): Problem[] {
  const problems: Problem[] = [];
  const byTime = new Map<number, CatalogueEntry>();
  for (const entry of scans) {
    const { date, instrument } = entry.row;
    if (date === undefined) {
      problems.push({
        file,
        place: `${entry.place}, column "date"`,
        message: `is empty; ${instrument} has several scans, so each needs its date`,
      });
      continue;
    }
    const time = isoDate(date) as number;
    const same = byTime.get(time);
    if (same === undefined) byTime.set(time, entry);
    else
      problems.push({
        file,
        place: `${entry.place}, column "date"`,
        message: `${instrument} has the same date in ${same.place}: ${date}; give the time of day too, or correct one`,
      });
  }
  const [first, second] = scans.filter((entry) => entry.row.baseline === true);
  if (first !== undefined && second !== undefined) {
    problems.push({
      file,
      place: `${second.place}, column "baseline"`,
      message: `${second.row.instrument} has its baseline in ${first.place} already; keep one`,
    });
  }
  return problems;
}

async function missingScans(file: string, entries: readonly CatalogueEntry[]): Promise<Problem[]> {
  const found = await Promise.all(
    entries.map(async ({ path, place, row }): Promise<Problem[]> => {
      const at = { file, place: `${place}, column "scan"`, kind: 'missing-scan' } as const;
      try {
        return (await stat(path)).isFile() ? [] : [{ ...at, message: `is not a file: ${row.scan}` }];
      } catch {
        return [{ ...at, message: `there is no file ${row.scan}; paths are relative to the catalogue` }];
      }
    }),
  );
  return found.flat();
}
