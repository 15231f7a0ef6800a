import { fieller } from '../numerics/fieller.ts';
import { generalisedLeastSquares } from '../numerics/generalised-least-squares.ts';
import { mannKendall } from '../numerics/mann-kendall.ts';
import { normalProbability } from '../numerics/normal.ts';
import { studentProbability, studentQuantile } from '../numerics/student.ts';
import { theilSen } from '../numerics/theil-sen.ts';

/** One scan of a series, held against the baseline; the baseline itself comes first, with value 0 and its own u. */
export interface DatedValue {
  /** Years, decimal. */
  readonly year: number;
  /** Difference to the baseline, mm or degrees. */
  readonly value: number;
  /** Standard uncertainty that this scan alone brings; for the baseline that which all differences share. */
  readonly u: number;
  /** % RH. */
  readonly humidity?: number;
  readonly stringsOn?: 'yes' | 'no';
  /** What was done before this scan. */
  readonly event?: string;
}

export interface Trend {
  readonly from: number;
  readonly to: number;
  readonly dates: number;
  /** Units a year. */
  readonly slope: number;
  readonly u: number;
  readonly low: number;
  readonly high: number;
  /** Two-sided, of no trend. */
  readonly p: number;
  /** Value at `from` by the trend, and the covariance (intercept, slope) that the forecast needs, scatter included. */
  readonly intercept: number;
  readonly covariance: readonly [number, number, number, number];
  /** Factor of the 95 % interval: normal, or Student's where the scatter widened u. */
  readonly factor: number;
  readonly covariates: readonly string[];
  readonly theilSen: number;
  readonly mannKendallP: number;
  readonly warnings: readonly string[];
}

/** A series, or why there is no trend in it. */
export type TrendOrReason = Trend | { readonly reason: string };

/** Words of catalogue events that break a series. */
const BREAKS = /\b(?:neck reset|new board|strings off)\b/i;
/** Dates between two breaks without which there is no trend. */
const FEWEST_DATES = 4;
/** Degrees of freedom that covariates must leave. */
const SPARE = 3;
/** Years below which season passes for trend. */
const SHORTEST = 1;
const NORMAL_FACTOR = 1.96;
/** Dates from which on Mann–Kendall's test can reach 5 %; with fewer it only contradicts. */
const MANN_KENDALL_DATES = 5;

/**
 * Trend of a series after its last break, by generalised least squares: every date is one observation with its own error, the baseline too, and the intercept is free. What all
 * differences share, the baseline's error, is then the baseline's alone.
 *
 * @param series  by rising year, the baseline first
 */
export function trendOf(series: readonly DatedValue[]): TrendOrReason {
  const part = sinceBreak(series);
  const { length } = part;
  if (length < FEWEST_DATES)
    return { reason: `${length} ${length === 1 ? 'date' : 'dates'} since the last break, a trend needs ${FEWEST_DATES}` };
  const first = part[0].year;
  const span = part[length - 1].year - first;
  const humid = part.every((d) => d.humidity !== undefined);
  if (span < SHORTEST && !humid)
    return { reason: 'the dates span less than a year, and humidity is not given: season and trend cannot be told apart' };
  const { columns, names, warnings } = covariatesOf(part, humid);
  const width = 2 + columns.length;
  const design = part.flatMap((d, i) => [1, d.year - first, ...columns.map((c) => c[i])]);
  const covariance = new Float64Array(length * length);
  part.forEach((d, i) => {
    covariance[i * (length + 1)] = d.u ** 2;
  });
  const values = part.map((d) => d.value);
  const fit = generalisedLeastSquares(design, width, values, covariance);
  // Scatter beyond the known uncertainties widens them; scatter below narrows nothing.
  const widening = Math.max(1, Math.sqrt(fit.chiSquared / fit.dof));
  const student = studentQuantile(0.975, fit.dof);
  const factor = widening > 1 ? Math.max(NORMAL_FACTOR, student) : NORMAL_FACTOR;
  const known = (i: number, j: number): number => fit.covariance[i * width + j] * widening ** 2;
  const u = Math.sqrt(known(1, 1));
  const slope = fit.coefficients[1];
  const ratio = Math.abs(slope) / u;
  const adjusted = values.map((v, i) => v - columns.reduce((s, c, k) => s + fit.coefficients[2 + k] * c[i], 0));
  const years = part.map((d) => d.year);
  const check = { sen: theilSen(years, adjusted).slope, kendall: mannKendall(adjusted) };
  const p = widening > 1 ? 2 * (1 - studentProbability(ratio, fit.dof)) : 2 * (1 - normalProbability(ratio));
  return {
    from: first,
    to: part[length - 1].year,
    dates: length,
    slope,
    u,
    low: slope - factor * u,
    high: slope + factor * u,
    p,
    intercept: fit.coefficients[0],
    covariance: [known(0, 0), known(0, 1), known(1, 0), known(1, 1)],
    factor,
    covariates: names,
    theilSen: check.sen,
    mannKendallP: check.kendall.p,
    warnings: [...warnings, ...contradictions(slope, p, length, check.sen, check.kendall)],
  };
}

function sinceBreak(series: readonly DatedValue[]): readonly DatedValue[] {
  let start = 0;
  series.forEach((d, i) => {
    if (i > 0 && d.event !== undefined && BREAKS.test(d.event)) start = i;
  });
  return series.slice(start);
}

/** Humidity and strings as columns, less their mean, where all dates give them, they vary, and enough dates are left to tell them from the trend. */
function covariatesOf(part: readonly DatedValue[], humid: boolean) {
  const columns: number[][] = [];
  const names: string[] = [];
  const offer = (name: string, column: readonly number[]): void => {
    const mean = column.reduce((s, v) => s + v, 0) / column.length;
    if (column.every((v) => Math.abs(v - mean) < 1e-9) || part.length - 3 - columns.length < SPARE) return;
    columns.push(column.map((v) => v - mean));
    names.push(name);
  };
  if (humid)
    offer(
      'humidity',
      part.map((d) => d.humidity as number),
    );
  if (part.every((d) => d.stringsOn !== undefined))
    offer(
      'strings',
      part.map((d) => (d.stringsOn === 'yes' ? 1 : 0)),
    );
  const warnings = names.includes('humidity') ? [] : ['humidity is not taken into account: season and trend cannot be told apart'];
  return { columns, names, warnings };
}

function contradictions(
  slope: number,
  p: number,
  dates: number,
  sen: number,
  kendall: { readonly s: number; readonly p: number },
): string[] {
  if (p > 0.05) return [];
  if (slope * sen < 0 || slope * kendall.s < 0)
    return ['the median of the slopes between dates goes the other way: single dates carry this trend'];
  return dates >= MANN_KENDALL_DATES && kendall.p > 0.2
    ? ['the order of the values alone does not show this trend (Mann–Kendall): single dates carry it']
    : [];
}

/** When a limit is reached, or why that is not foretold. */
export type Forecast = { readonly year: number; readonly low: number; readonly high: number } | { readonly reason: string };

/**
 * Year in which the trend reaches a limit, by inverse prediction.
 *
 * @param limit  less the baseline's own value: a difference as the series has them
 * @param uLimit  standard uncertainty of that: of the baseline's own value
 */
export function forecast(trend: Trend, limit: number, uLimit: number): Forecast {
  if (trend.low <= 0 && trend.high >= 0) return { reason: 'the interval of the slope holds 0: there may be no trend at all' };
  const [va, cab, , vb] = trend.covariance;
  const interval = fieller(limit - trend.intercept, trend.slope, va + uLimit ** 2, vb, -cab, trend.factor);
  if (interval.kind === 'unbounded') return { reason: 'the slope is too uncertain for a date: the interval has no end' };
  const year = trend.from + (limit - trend.intercept) / trend.slope;
  if (year < trend.to) return { reason: 'by the trend the limit is passed already, or lies behind' };
  if (year - trend.to > trend.to - trend.from) return { reason: 'the date lies further ahead than the series is long' };
  return { year, low: trend.from + interval.low, high: trend.from + interval.high };
}
