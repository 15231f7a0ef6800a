import type { TrackedSeries } from './comparison-data.ts';
import { signed } from './change-table.ts';
import { printable } from './printable.ts';
import { decimalsFor, fixed } from './round-quantity.ts';
import { seriesName } from './series-sections.ts';
import { reachedWords } from './trend-table.ts';
import { wrapped } from './wrapped.ts';

const INDENT = '  ';

/** Tracked instruments as plain text: the trend of projection of each, or why there is none. */
export const trackingLines = (all: readonly TrackedSeries[]): string =>
  [
    'Projection, by instrument',
    ...all.flatMap((series) => wrapped(`${printable(seriesName(series))}: ${trendWords(series)}`, INDENT.repeat(2), INDENT)),
    '',
  ].join('\n');

function trendWords({ tracked }: TrackedSeries): string {
  const projection = tracked.find(({ id }) => id === 'projection');
  if (projection === undefined) return 'no two scans show its change';
  const { trend, real, forecast } = projection;
  if ('reason' in trend) return `no trend: ${trend.reason}`;
  const half = (trend.high - trend.low) / 2;
  const decimals = decimalsFor(half);
  const slope = `${signed(trend.slope, decimals)} ± ${fixed(half, decimals)} mm a year over ${trend.dates} dates, ${real === true ? 'REAL' : 'not told from rest'}`;
  if (forecast === undefined) return slope;
  const { limit, reached } = forecast;
  return `${slope}; limit of ${limit} mm: ${'reason' in reached ? `not foretold, ${reached.reason}` : reachedWords(reached)}`;
}
