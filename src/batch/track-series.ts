import { type DatedValue, type Forecast, forecast, type Trend, type TrendOrReason, trendOf } from '../change/trend.ts';
import { CHANGES } from '../measurands/changes.ts';
import { MEASURANDS, type MeasureId } from '../measurands/measurands.ts';
import { benjaminiHochberg } from '../numerics/benjamini-hochberg.ts';
import type { ComparisonRecord, MeasuredComparison } from '../records/comparison-record.ts';
import type { MeasuredRecord, ScanRecord } from '../records/record.ts';
import type { ComparedSeries, TrackedQuantity, TrackedSeries } from '../reports/comparison-data.ts';
import type { Ranges } from '../reports/survey-data.ts';
import { isoDate } from './iso-date.ts';

/** The one quantity whose trend is tested over all instruments together. */
const TESTED: MeasureId = 'projection';
/** Expected share of false alarms among the trends that are called real. */
const FALSE_SHARE = 0.05;
/** A later scan brings at least this share of a difference's u, however the budget splits it: a date without an error would outweigh all others. */
const LEAST_SHARE = 0.01;
const YEAR_MS = 365.2425 * 24 * 3600 * 1000;

interface Value {
  readonly value: number;
  readonly u: number;
  readonly uBaseline: number;
}

interface Tracked {
  readonly id: string;
  readonly title: string;
  readonly unit: TrackedQuantity['unit'];
  readonly of: (pair: MeasuredComparison) => Value | undefined;
}

/** Differences first, then changes of the neck; what has three components or no sign has no trend of its own. */
const TRACKED: readonly Tracked[] = [
  ...MEASURANDS.map(({ id, title, unit }) => ({ id, title, unit, of: (pair: MeasuredComparison) => pair.differences[id] })),
  ...CHANGES.flatMap(({ id, title, unit }) =>
    id === 'neckShift' || id === 'bodyResidual' ? [] : [{ id, title, unit, of: (pair: MeasuredComparison) => pair.measures[id] }],
  ),
];

/** Trends of all series, with the one test of each instrument judged together with those of all others. */
export function trackSeries(all: readonly ComparedSeries[], limits: Ranges): readonly TrackedSeries[] {
  const tracked = all.map((series) => ({ ...series, tracked: quantitiesOf(series, limits) }));
  const tests = tracked.flatMap(({ tracked: quantities }, i) =>
    quantities.flatMap(({ id, trend }) => (id === TESTED && 'p' in trend ? [{ i, p: trend.p }] : [])),
  );
  const verdicts = benjaminiHochberg(
    tests.map(({ p }) => p),
    FALSE_SHARE,
  );
  const real = new Map(tests.map(({ i }, k) => [i, verdicts[k] as boolean]));
  return tracked.map((series, i) => {
    const verdict = real.get(i);
    if (verdict === undefined) return series;
    return { ...series, tracked: series.tracked.map((q) => (q.id === TESTED ? { ...q, real: verdict } : q)) };
  });
}

function quantitiesOf(series: ComparedSeries, limits: Ranges): readonly TrackedQuantity[] {
  const { baseline } = series;
  if (baseline === undefined) return [];
  return TRACKED.flatMap(({ id, title, unit, of }) => {
    const dated = datedValues(baseline, series, of);
    if (dated === undefined) return [];
    const trend = trendOf(dated);
    const reached = forecastOf(trend, id as MeasureId, baseline, limits);
    return [{ id, title, unit, trend, ...(reached === undefined ? {} : { forecast: reached }) }];
  });
}

/** By date, the baseline among them with value 0 and what all differences share as its own u; undefined where no pair has the value. */
function datedValues(baseline: MeasuredRecord, series: ComparedSeries, of: Tracked['of']): readonly DatedValue[] | undefined {
  const pairs = series.comparisons.map((record) => ({ record, value: 'failed' in record ? undefined : of(record) }));
  const shared = pairs.flatMap(({ value }) => value?.uBaseline ?? []);
  if (shared.length === 0) return undefined;
  const uShared = Math.hypot(...shared) / Math.sqrt(shared.length);
  const scans: { record: ScanRecord | ComparisonRecord; value: Value | undefined; u: number }[] = [
    ...series.unusable.map((record) => ({ record, value: undefined, u: 0 })),
    { record: baseline, value: { value: 0, u: uShared, uBaseline: 0 }, u: uShared },
    ...pairs.map(({ record, value }) => ({ record, value, u: value === undefined ? 0 : ownU(value) })),
  ].sort((a, b) => yearOf(a.record) - yearOf(b.record));
  const dated: DatedValue[] = [];
  // What was done before a scan that is left out still lies between its neighbours.
  let events: string[] = [];
  for (const { record, value, u } of scans) {
    const notes = record.catalogue;
    if (notes?.['event'] !== undefined) events.push(notes['event']);
    if (value === undefined) continue;
    dated.push({
      year: yearOf(record),
      value: value.value,
      u,
      ...(notes?.['humidity'] === undefined ? {} : { humidity: Number(notes['humidity']) }),
      ...(notes?.['stringsOn'] === 'yes' || notes?.['stringsOn'] === 'no' ? { stringsOn: notes['stringsOn'] } : {}),
      ...(events.length === 0 ? {} : { event: events.join('; ') }),
    });
    events = [];
  }
  return dated;
}

const ownU = ({ u, uBaseline }: Value): number => Math.sqrt(Math.max(u ** 2 - uBaseline ** 2, (LEAST_SHARE * u) ** 2));

/** Decimal year. */
const yearOf = (record: ScanRecord | ComparisonRecord): number => 1970 + (isoDate(record.date ?? '') ?? 0) / YEAR_MS;

/** When the limit ahead is reached; undefined where none is stated. */
function forecastOf(
  trend: TrendOrReason,
  id: MeasureId,
  baseline: MeasuredRecord,
  limits: Ranges,
): { limit: number; reached: Forecast } | undefined {
  const range = limits[id];
  if (range === undefined || 'reason' in trend) return undefined;
  const limit = limitAhead(trend, range);
  if (limit === undefined) return undefined;
  const own = baseline.measures[id];
  if (own === undefined)
    return { limit, reached: { reason: 'the baseline does not show this measure itself, so it is not known how far off the limit was' } };
  return { limit, reached: forecast(trend, limit - own.value, own.u) };
}

const limitAhead = (
  { slope }: Trend,
  { min, max }: { readonly min?: number | undefined; readonly max?: number | undefined },
): number | undefined => (slope < 0 ? min : max);
