import { MEASURANDS, type MeasurandDefinition, type MeasureId } from '../measurands/measurands.ts';
import type { Quantity } from '../measures/result.ts';
import type { MeasuredComparison } from '../records/comparison-record.ts';
import type { MeasuredRecord } from '../records/record.ts';
import { changeSentence, changeTable } from './change-table.ts';
import type { ComparedSeries, ComparisonData } from './comparison-data.ts';
import { type Html, html } from './html.ts';
import { section } from './page.ts';
import { notesHtml, pairNotes } from './pair-notes.ts';
import { quantityHtml } from './quantity-html.ts';
import { comparedPage, seriesName, unusedScans } from './series-sections.ts';
import type { IntendedRange } from './survey-data.ts';
import { UNIT_SIGN } from './trade-words.ts';

/** `index.html` of a comparison of two dates: what was done to each instrument, against what was intended. */
export const beforeAfterPage = (data: ComparisonData): string =>
  comparedPage(data, [], (series, i) => section(`instrument-${i + 1}`, seriesName(series), instrumentBody(series, data)));

function instrumentBody(series: ComparedSeries, data: ComparisonData): readonly (Html | undefined)[] {
  const { baseline } = series;
  const pair = series.comparisons.find((record): record is MeasuredComparison => !('failed' in record));
  if (baseline === undefined || pair === undefined) {
    return [html`<p class="failed">There are no two scans that can be compared.</p>`, unusedScans(series)];
  }
  const event = pair.catalogue?.['event'];
  return [
    html`<p class="note">${pair.scan} (${pair.date}) against ${baseline.scan} (${baseline.date})${event === undefined ? undefined : `; in between: ${event}`}.</p><p><strong>${changeSentence(pair)}</strong></p>`,
    intendedTable(baseline, pair, data),
    changeTable(pair),
    notesHtml(pairNotes(baseline, pair)),
    unusedScans(series),
  ];
}

/** Both states of what was intended; the scans' own values. */
function intendedTable(baseline: MeasuredRecord, pair: MeasuredComparison, data: ComparisonData): Html | undefined {
  const rows = MEASURANDS.flatMap((m) => {
    const range = data.intended[m.id];
    return range === undefined ? [] : [intendedRow(m, range, baseline, pair, data)];
  });
  if (rows.length === 0) return undefined;
  return html`<h3>Against what was intended</h3>
<div class="wide" tabindex="0" role="region" aria-label="Intended">
<table>
<caption><span>Before and after are each scan's own values in its own datums: their difference is not the measured change, which stands in the next table.</span></caption>
<thead><tr><th scope="col">Measure</th><th scope="col" class="number">Before</th><th scope="col" class="number">After</th><th scope="col">Unit</th><th scope="col">Intended</th><th scope="col">Reached</th></tr></thead>
<tbody>
${rows}</tbody>
</table>
</div>`;
}

function intendedRow(
  { id, title, unit }: MeasurandDefinition & { readonly id: MeasureId },
  range: IntendedRange,
  baseline: MeasuredRecord,
  pair: MeasuredComparison,
  data: ComparisonData,
): Html {
  const after = pair.measures[id];
  const cell = (q: Quantity | undefined): Html =>
    q === undefined ? html`<span class="absent">absent</span>` : quantityHtml(q, data.limits[id], undefined);
  const reached = after === undefined ? `not known: ${reasonOf(pair, id)}` : reachedWords(after, range);
  return html`<tr><th scope="row">${title}</th><td class="number">${cell(baseline.measures[id])}</td><td class="number">${cell(after)}</td><td>${UNIT_SIGN[unit]}</td><td>${rangeWords(range)}</td><td>${reached}</td></tr>
`;
}

const reasonOf = (pair: MeasuredComparison, id: MeasureId): string =>
  pair.absent.find(({ measure }) => measure === id)?.reason ?? 'the later scan does not show it';

/** By the whole interval: a value that may be on either side is not called one or the other. */
function reachedWords(q: Quantity, { min = Number.NEGATIVE_INFINITY, max = Number.POSITIVE_INFINITY }: IntendedRange): string {
  const [low, high] = [q.low ?? q.value - q.U95, q.high ?? q.value + q.U95];
  if (low > max) return 'no, it is above';
  if (high < min) return 'no, it is below';
  return low >= min && high <= max ? 'yes' : 'cannot be told: the interval reaches over the edge';
}

const rangeWords = ({ min, max }: IntendedRange): string =>
  min === undefined ? `at most ${max}` : max === undefined ? `at least ${min}` : `${min} to ${max}`;
