import { isoDate } from './iso-date.ts';
import type { Pipeline } from './pipeline-schema.ts';
import type { Problem } from './problem.ts';
import type { CatalogueEntry } from './read-catalogue.ts';

/** Scans of one instrument that are held against each other. */
export interface ScanSeries {
  readonly instrument: string;
  /** The one to compare against comes first; where it cannot be used, the next one takes its place. The others by date. */
  readonly entries: readonly CatalogueEntry[];
}

export interface SeriesReading {
  readonly series: readonly ScanSeries[];
  /** Instruments with one scan only. */
  readonly single: readonly string[];
  readonly problems: readonly Problem[];
}

interface Source {
  readonly file: string;
  readonly pipeline: Pipeline;
  readonly catalogueFile: string;
}

/** What a pipeline of a kind that compares holds against what; a problem for each instrument whose rows leave it open. */
export function scanSeries(kind: 'before-after' | 'tracking', entries: readonly CatalogueEntry[], source: Source): SeriesReading {
  const byInstrument = new Map<string, CatalogueEntry[]>();
  for (const entry of entries) byInstrument.set(entry.row.instrument, [...(byInstrument.get(entry.row.instrument) ?? []), entry]);
  const series: ScanSeries[] = [];
  const single: string[] = [];
  const problems: Problem[] = [];
  for (const [instrument, rows] of byInstrument) {
    if (rows.length < 2) {
      single.push(instrument);
      continue;
    }
    const dated = [...rows].sort((a, b) => time(a) - time(b));
    const chosen = kind === 'tracking' ? baselineFirst(dated) : beforeAndAfter(dated);
    if (typeof chosen === 'string')
      problems.push({ file: source.catalogueFile, place: placesOf(dated), message: `${instrument} ${chosen}` });
    else series.push({ instrument, entries: chosen });
  }
  if (byInstrument.size > 0 && series.length === 0 && problems.length === 0) problems.push(nothingToCompare(kind, source));
  return { series, single, problems };
}

const time = ({ row }: CatalogueEntry): number => isoDate(row.date ?? '') ?? 0;

function baselineFirst(dated: readonly CatalogueEntry[]): readonly CatalogueEntry[] {
  const stated = dated.filter(({ row }) => row.baseline === true);
  return [...stated, ...dated.filter((entry) => !stated.includes(entry))];
}

/** Two scans as they are; of more, those on both sides of the one event. */
function beforeAndAfter(dated: readonly CatalogueEntry[]): readonly CatalogueEntry[] | string {
  if (dated.length === 2) return dated;
  const events = dated.flatMap(({ row }, i) => (i > 0 && row.event !== undefined ? [i] : []));
  const [at] = events;
  if (at === undefined)
    return `has ${dated.length} scans and no event between them; say in the column "event" what was done before one of them, or select two dates`;
  if (events.length > 1) return `has ${events.length} events; select the two dates on both sides of one`;
  return dated.slice(at - 1, at + 1);
}

const placesOf = (entries: readonly CatalogueEntry[]): string =>
  `rows ${entries.map(({ place }) => place.replace(/^row /, '')).join(', ')}`;

function nothingToCompare(kind: string, { file, pipeline }: Source): Problem {
  const key = pipeline.select === undefined ? 'catalogue' : 'select';
  return {
    file,
    place: `key "${key}"`,
    message: `leaves no instrument with scans of two dates, which "${kind}" needs; give repeat scans the same word in the column "instrument"`,
  };
}
