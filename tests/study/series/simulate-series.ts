import { type DatedValue, forecast, type Trend, trendOf } from '../../../src/change/trend.ts';
import { type Random, random } from '../../../src/numerics/random.ts';

/** What is drawn of a series of scans, without meshes: its records alone. */
export interface DrawnSeries {
  /** mm a year. */
  readonly slope: number;
  readonly dates: number;
  /** mm for 20 % RH. */
  readonly swing: number;
}

/** Found of so many that could be. */
export interface Share {
  readonly found: number;
  readonly of: number;
}

/** Standard error of a scan, mm. */
const U = 0.05;
const FIRST = 2015;
const SERIES = 600;
/** mm a year. */
const SINK = -0.12;
const FAST_SINK = -0.15;
/** A limit lies ahead by half the length of the series. */
const AHEAD = 1.5;

/** A series with the same error of each scan, the first at 50 % RH. */
export function drawSeries({ slope, dates, swing }: DrawnSeries, stream: Random): DatedValue[] {
  const errors = Array.from({ length: dates }, () => U * stream.normal());
  return errors.map((error, i) => {
    if (i === 0) return { year: FIRST, value: 0, u: U, humidity: 50 };
    const year = FIRST + i + 0.4 * stream.uniform();
    const humidity = 50 + 20 * Math.sin(2 * Math.PI * year + 1);
    // The baseline's value is 0 by definition: what it misses is in all others.
    return { year, value: slope * (year - FIRST) + (swing * (humidity - 50)) / 20 + error - errors[0], u: U, humidity };
  });
}

export function found(t: ReturnType<typeof trendOf>): Trend {
  if ('reason' in t) throw new Error(t.reason);
  return t;
}

const simulated = (name: string, drawn: (k: number) => DrawnSeries): Trend[] => {
  const stream = random(name);
  return Array.from({ length: SERIES }, (_, k) => found(trendOf(drawSeries(drawn(k), stream))));
};

/** Series of 5 to 8 dates whose slope's interval holds the true one. */
export function slopesHeld(): Share {
  const trends = simulated('coverage', (k) => ({ slope: SINK, dates: 5 + (k % 4), swing: 0 }));
  return { found: trends.filter((t) => t.low <= SINK && t.high >= SINK).length, of: trends.length };
}

/** Series at rest, half of them seasonal with humidity given, in which a trend is found. */
export function falseTrends(): Share {
  const trends = simulated('rest', (k) => ({ slope: 0, dates: 6 + (k % 3), swing: k % 2 === 0 ? 0 : 0.2 }));
  return { found: trends.filter((t) => t.p < 0.05).length, of: trends.length };
}

/** Forecasts that are given and hold the true date. */
export function datesHeld(): Share {
  const trends = simulated('forecast', (k) => ({ slope: FAST_SINK, dates: 6 + (k % 3), swing: 0 }));
  const given = trends.flatMap((t) => {
    const truth = AHEAD * (t.to - FIRST);
    // The limit is where the true value is then; the first scan's error stays with it.
    const f = forecast(t, FAST_SINK * truth, U);
    return 'reason' in f ? [] : [f.low <= FIRST + truth && f.high >= FIRST + truth];
  });
  return { found: given.filter((g) => g).length, of: given.length };
}
