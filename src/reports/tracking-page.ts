import { MEASURAND, type MeasureId } from '../measurands/measurands.ts';
import type { ComparisonRecord, MeasuredComparison } from '../records/comparison-record.ts';
import type { MeasuredRecord } from '../records/record.ts';
import { changeSentence, changeTable, signed, signedHtml } from './change-table.ts';
import type { ComparisonData, TrackedSeries } from './comparison-data.ts';
import { type Html, html } from './html.ts';
import { section } from './page.ts';
import { notesHtml, pairNotes } from './pair-notes.ts';
import { decimalsFor, fixed } from './round-quantity.ts';
import { comparedPage, seriesName, unusedScans } from './series-sections.ts';
import { UNIT_SIGN } from './trade-words.ts';
import { reachedWords, trendTable } from './trend-table.ts';

/** Shown of every date. */
const BY_DATE: readonly MeasureId[] = ['projection', 'neckAngle', 'overstand', 'archHeight'];

/** `index.html` of tracked instruments: what moves, how fast, whether that is real, and when a limit is reached. */
export const trackingPage = (data: ComparisonData<TrackedSeries>): string =>
  comparedPage(data, [section('overview', 'Trends of projection', overview(data.series))], (_, i) =>
    section(`instrument-${i + 1}`, seriesName(data.series[i] as TrackedSeries), instrumentBody(data.series[i] as TrackedSeries)),
  );

function overview(all: readonly TrackedSeries[]): Html {
  return html`<p>${countedTests(all)}</p>
<div class="wide" tabindex="0" role="region" aria-label="Overview">
<table>
<caption><span>Difference of projection a year, ± the half-width of the 95 % interval; negative: projection falls.</span></caption>
<thead><tr><th scope="col">Instrument</th><th scope="col">Dates</th><th scope="col">Trend</th><th scope="col">Real</th><th scope="col">Limit reached</th></tr></thead>
<tbody>
${all.map(overviewRow)}</tbody>
</table>
</div>`;
}

/** How false alarms are controlled, in words. */
function countedTests(all: readonly TrackedSeries[]): string {
  const count = all.filter(({ tracked }) => tracked.some(({ real }) => real !== undefined)).length;
  if (count === 0) return 'No instrument has enough dates for a trend of projection, so none is tested.';
  return `${count === 1 ? 'One instrument has' : `${count} instruments have`} one test each, the trend of projection. They are judged together (Benjamini–Hochberg): among the trends called real, at most one in twenty is expected to be none. All other quantities are shown and not counted.`;
}

function overviewRow(series: TrackedSeries, i: number): Html {
  const projection = series.tracked.find(({ id }) => id === 'projection');
  const dates = usable(series).length + (series.baseline === undefined ? 0 : 1);
  const head = html`<th scope="row"><a href="#instrument-${i + 1}">${seriesName(series)}</a></th><td>${dates}</td>`;
  if (projection === undefined)
    return html`<tr>${head}<td colspan="3" class="absent">${dates < 2 ? 'no two scans that can be compared' : 'the scans do not show the change of projection'}</td></tr>
`;
  const { trend, real, forecast } = projection;
  if ('reason' in trend)
    return html`<tr>${head}<td colspan="3" class="absent">no trend: ${trend.reason}</td></tr>
`;
  const half = (trend.high - trend.low) / 2;
  const decimals = decimalsFor(half);
  const when =
    forecast === undefined
      ? ''
      : 'reason' in forecast.reached
        ? `not foretold: ${forecast.reached.reason}`
        : reachedWords(forecast.reached);
  return html`<tr>${head}<td class="number">${signed(trend.slope, decimals)} <span class="pm">± ${fixed(half, decimals)}</span> mm a year</td><td>${real === true ? html`<strong>yes</strong>` : 'no'}</td><td>${when}</td></tr>
`;
}

const usable = (series: TrackedSeries): readonly MeasuredComparison[] =>
  series.comparisons.filter((record: ComparisonRecord): record is MeasuredComparison => !('failed' in record));

function instrumentBody(series: TrackedSeries): readonly (Html | undefined)[] {
  const { baseline } = series;
  const pairs = usable(series);
  const last = pairs.at(-1);
  if (baseline === undefined || last === undefined) {
    return [html`<p class="failed">There are no two scans that can be compared.</p>`, unusedScans(series)];
  }
  return [
    html`<p class="note">Baseline: ${baseline.scan}, ${baseline.date}.</p>`,
    html`<h3>Trends</h3>`,
    trendTable(series.tracked),
    html`<h3>By date</h3>`,
    datesTable(pairs),
    html`<h3>${last.date} against ${baseline.date}</h3><p><strong>${changeSentence(last)}</strong></p>`,
    changeTable(last),
    notesHtml([...new Set(series.tracked.flatMap(trendWarnings)), ...datedNotes(baseline, pairs)]),
    unusedScans(series),
  ];
}

/** Each note once, with the dates that it is about. */
function datedNotes(baseline: MeasuredRecord, pairs: readonly MeasuredComparison[]): readonly string[] {
  const byNote = new Map<string, string[]>();
  for (const pair of pairs)
    for (const note of pairNotes(baseline, pair)) byNote.set(note, [...(byNote.get(note) ?? []), pair.date ?? pair.scan]);
  return [...byNote].map(([note, dates]) => `${dates.length === pairs.length ? 'all dates' : dates.join(', ')}: ${note}`);
}

const trendWarnings = ({ title, trend }: TrackedSeries['tracked'][number]): readonly string[] =>
  'warnings' in trend ? trend.warnings.map((warning) => `${warning.startsWith('humidity') ? 'trends' : title}: ${warning}`) : [];

const datesTable = (
  pairs: readonly MeasuredComparison[],
): Html => html`<div class="wide" tabindex="0" role="region" aria-label="Changes by date">
<table>
<caption><span>Later minus baseline, in the baseline's datums; in mm and degrees. Real: in that pair as a whole.</span></caption>
<thead><tr><th scope="col">Date</th><th scope="col">Before it</th>${BY_DATE.map((id) => html`<th scope="col" class="number">${MEASURAND.get(id)?.title}<span class="unit">${UNIT_SIGN[MEASURAND.get(id)?.unit ?? 1]}</span></th>`)}</tr></thead>
<tbody>
${pairs.map(
  (
    pair,
  ) => html`<tr><th scope="row"><time>${pair.date}</time></th><td>${pair.catalogue?.['event']}</td>${BY_DATE.map((id) => html`<td class="number">${dateCell(pair, id)}</td>`)}</tr>
`,
)}</tbody>
</table>
</div>`;

function dateCell(pair: MeasuredComparison, id: MeasureId): Html {
  const difference = pair.differences[id];
  if (difference === undefined)
    return html`<span class="absent" title="${pair.absent.find(({ measure }) => measure === id)?.reason ?? ''}">absent</span>`;
  return html`${signedHtml(difference)}${difference.significant === true ? html`<span class="tag">real</span>` : undefined}`;
}
