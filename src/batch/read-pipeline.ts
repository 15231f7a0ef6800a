import { readFile } from 'node:fs/promises';
import { basename, dirname, extname, resolve } from 'node:path';
import type { z } from 'zod';
import { CATALOGUE_ROW } from './catalogue-schema.ts';
import { type Catalogue, type CatalogueEntry, readCatalogue } from './read-catalogue.ts';
import { PIPELINE, type Pipeline } from './pipeline-schema.ts';
import type { Problem } from './problem.ts';
import { type ScanSeries, scanSeries } from './scan-series.ts';

export interface LoadedPipeline {
  readonly file: string;
  /** File name without its extension: names the report folder. */
  readonly name: string;
  readonly pipeline: Pipeline;
  readonly catalogue: Catalogue;
  /** The rows that `select` leaves, in the catalogue's order. */
  readonly entries: readonly CatalogueEntry[];
  /** What is compared with what; empty for a survey. */
  readonly series: readonly ScanSeries[];
  /** Instruments that have nothing to be compared with. */
  readonly single: readonly string[];
}

export interface PipelineReading {
  readonly loaded?: LoadedPipeline;
  readonly problems: readonly Problem[];
}

/** Reads and validates a pipeline file and its catalogue. Every problem is reported. */
export async function readPipeline(file: string): Promise<PipelineReading> {
  const content = await readJson(file);
  if ('problem' in content) return { problems: [content.problem] };
  const parsed = PIPELINE.safeParse(content.value);
  if (!parsed.success) return { problems: parsed.error.issues.flatMap((issue) => issueProblems(file, issue, content.value)) };
  const pipeline = parsed.data;
  const catalogue = await readCatalogue(resolve(dirname(file), pipeline.catalogue));
  const entries = catalogue.entries.filter(({ row }) => selected(row, pipeline.select ?? {}));
  const problems = [...catalogue.problems, ...selectionProblems(file, pipeline, catalogue, entries)];
  const { kind } = pipeline;
  if (kind === 'survey') return { loaded: { file, name: nameOf(file), pipeline, catalogue, entries, series: [], single: [] }, problems };
  // Without dates that can be ordered there are no series yet to speak of.
  const found = problems.some((problem) => problem.kind !== 'missing-scan')
    ? { series: [], single: [], problems: [] }
    : scanSeries(kind, entries, { file, pipeline, catalogueFile: catalogue.file });
  const { series, single } = found;
  return { loaded: { file, name: nameOf(file), pipeline, catalogue, entries, series, single }, problems: [...problems, ...found.problems] };
}

const nameOf = (file: string): string => basename(file, extname(file));

async function readJson(file: string): Promise<{ value: unknown } | { problem: Problem }> {
  let content: string;
  try {
    content = await readFile(file, 'utf8');
  } catch (error) {
    return { problem: { file, message: `cannot be read: ${(error as NodeJS.ErrnoException).code ?? (error as Error).message}` } };
  }
  try {
    return { value: JSON.parse(content.replace(/^\uFEFF/, '')) };
  } catch (error) {
    return { problem: { file, message: `is not JSON: ${(error as Error).message}` } };
  }
}

/** Kinds that are reserved: named in the answer, so that nobody looks for a spelling mistake. */
const LATER_KINDS: readonly unknown[] = ['hand-off'];

function issueProblems(file: string, issue: z.core.$ZodIssue, value: unknown): Problem[] {
  const key = issue.path.map(String).join('.');
  if (issue.code === 'unrecognized_keys') {
    return issue.keys.map((unknown) => ({
      file,
      place: `key "${[...issue.path.map(String), unknown].join('.')}"`,
      message: 'is not known',
    }));
  }
  const kind = typeof value === 'object' && value !== null ? (value as { kind?: unknown }).kind : undefined;
  if (key === 'kind' && LATER_KINDS.includes(kind)) {
    return [
      {
        file,
        place: 'key "kind"',
        message: `"${kind}" is not offered by this version yet; it runs "survey", "before-after" and "tracking"`,
      },
    ];
  }
  return [{ file, ...(key === '' ? {} : { place: `key "${key}"` }), message: issue.message }];
}

function selectionProblems(file: string, pipeline: Pipeline, catalogue: Catalogue, entries: readonly CatalogueEntry[]): Problem[] {
  if (catalogue.entries.length === 0) return [];
  const columns = new Set([...Object.keys(CATALOGUE_ROW.shape), ...catalogue.entries.flatMap(({ row }) => Object.keys(row))]);
  const unknown = Object.keys(pipeline.select ?? {}).filter((column) => !columns.has(column));
  const problems: Problem[] = unknown.map((column) => ({
    file,
    place: `key "select.${column}"`,
    message: 'no row of the catalogue has this column',
  }));
  if (pipeline.groupBy !== undefined && !columns.has(pipeline.groupBy)) {
    problems.push({ file, place: 'key "groupBy"', message: `no row of the catalogue has the column "${pipeline.groupBy}"` });
  }
  if (pipeline.groupBy !== undefined && pipeline.kind !== 'survey') {
    problems.push({
      file,
      place: 'key "groupBy"',
      message: `belongs to a survey; "${pipeline.kind}" has a part for each instrument: leave it out`,
    });
  }
  if (problems.length === 0 && entries.length === 0)
    problems.push({ file, place: 'key "select"', message: 'leaves no scan of the catalogue' });
  return problems;
}

const selected = (row: CatalogueEntry['row'], select: NonNullable<Pipeline['select']>): boolean =>
  Object.entries(select).every(([column, wanted]) => (Array.isArray(wanted) ? wanted : [wanted]).includes(cellText(row[column])));

/** How a cell reads in a catalogue. */
const cellText = (value: unknown): string =>
  value === true ? 'yes' : value === false ? 'no' : value === undefined || value === null ? '' : String(value);
