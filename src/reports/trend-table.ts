import { FIRST_DIFFERENCES } from './changed-quantities.ts';
import { signed } from './change-table.ts';
import type { TrackedQuantity } from './comparison-data.ts';
import { type Html, html } from './html.ts';
import { decimalsFor, fixed } from './round-quantity.ts';
import { UNIT_SIGN } from './trade-words.ts';

/** p from which on a trend outside the counted test is shown unasked. */
const SHOWN_P = 0.05;
/** Shown whatever they are: a maker looks at these first. */
const ALWAYS: ReadonlySet<string> = new Set([...FIRST_DIFFERENCES, 'neckPitch', 'neckBend']);

/** Trends of one instrument: those that matter first, those with a limit, and what else shows one. */
export const trendTable = (
  tracked: readonly TrackedQuantity[],
): Html => html`<div class="wide" tabindex="0" role="region" aria-label="Trends">
<table>
<caption><span>By generalised least squares since the last break (neck reset, new board, strings off); ± is the half-width of the 95 % interval. Real is said of the one counted test, the trend of projection; of all others only whether their interval holds 0.</span></caption>
<thead><tr><th scope="col">What</th><th scope="col" class="number">A year</th><th scope="col">Unit</th><th scope="col">Real</th><th scope="col">Limit</th><th scope="col">Reached</th></tr></thead>
<tbody>
${tracked.filter(isShown).map(row)}</tbody>
</table>
</div>`;

const isShown = ({ id, trend, forecast }: TrackedQuantity): boolean =>
  ALWAYS.has(id) || forecast !== undefined || ('p' in trend && trend.p <= SHOWN_P);

function row(quantity: TrackedQuantity): Html {
  const { title, unit, trend } = quantity;
  const head = html`<th scope="row">${title}</th>`;
  if ('reason' in trend)
    return html`<tr>${head}<td colspan="5" class="absent">no trend: ${trend.reason}</td></tr>
`;
  const sign = UNIT_SIGN[unit];
  return html`<tr>${head}<td class="number">${slopeHtml(trend)}</td><td>${sign === '' ? '' : `${sign} a year`}</td><td>${realWords(quantity)}</td>${forecastCells(quantity)}</tr>
`;
}

function slopeHtml({ slope, low, high }: { readonly slope: number; readonly low: number; readonly high: number }): Html {
  const half = (high - low) / 2;
  const decimals = decimalsFor(half);
  return html`${signed(slope, decimals)} <span class="pm">± ${fixed(half, decimals)}</span>`;
}

function realWords({ trend, real }: TrackedQuantity): string | Html {
  if (real === true) return html`<strong>yes</strong>`;
  if (real === false) return 'no';
  return 'p' in trend && (trend.low > 0 || trend.high < 0) ? 'interval without 0, not counted' : 'no';
}

function forecastCells({ forecast, unit }: TrackedQuantity): Html {
  if (forecast === undefined) return html`<td></td><td></td>`;
  const { limit, reached } = forecast;
  const when = 'reason' in reached ? html`<span class="absent">not foretold: ${reached.reason}</span>` : reachedWords(reached);
  return html`<td>${limit} ${UNIT_SIGN[unit]}</td><td>${when}</td>`;
}

/** A forecast in words, to the month. */
export const reachedWords = ({ year, low, high }: { readonly year: number; readonly low: number; readonly high: number }): string =>
  `about ${month(year)} (${month(low)} to ${month(high)})`;

const MONTHS = 12;
function month(year: number): string {
  const months = Math.floor(year * MONTHS);
  return `${Math.floor(months / MONTHS)}-${String((months % MONTHS) + 1).padStart(2, '0')}`;
}
