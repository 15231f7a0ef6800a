import { CHANGES } from '../measurands/changes.ts';
import type { ComparisonRecord } from '../records/comparison-record.ts';
import type { FailedRecord } from '../records/record.ts';
import { CAUTION, STRINGS_CAUTION } from './cautions.ts';
import type { ComparedSeries, ComparisonData } from './comparison-data.ts';
import { type Html, html } from './html.ts';
import { page, section } from './page.ts';
import { runFacts } from './run-facts.ts';
import { instrumentName } from './scan-name.ts';

/** A page of compared scans: its own parts, then what all such pages end with. */
export function comparedPage(
  data: ComparisonData,
  before: readonly (Html | undefined)[],
  instrument: (series: ComparedSeries, i: number) => Html,
): string {
  const { scans, finishedAt } = data.run;
  return page({
    title: data.title,
    lead: html`${scans.asked - scans.failed} of ${scans.asked} scans of ${data.series.length} ${data.series.length === 1 ? 'instrument' : 'instruments'} could be used, ${finishedAt.slice(0, 10)}. <a href="changes.csv">Changes as CSV</a>, <a href="measurements.csv">measurements as CSV</a>, <a href="measurements.json">records as JSON</a>.`,
    body: [
      ...before,
      ...data.series.map(instrument),
      leftOut(data),
      section('glossary', 'What the changes mean', glossary()),
      section('cautions', 'Cautions', html`<p>${CAUTION}</p><p>${STRINGS_CAUTION}</p>`),
      section('run', 'What ran', runFacts(data.run)),
    ],
  });
}

/** What people call the instrument of a series. */
export function seriesName({ instrument, baseline }: ComparedSeries): string {
  return baseline === undefined ? instrument : instrumentName(baseline);
}

/** Scans of a series that could not be used, each with its reason. */
export function unusedScans(series: ComparedSeries): Html | undefined {
  const failed = [...series.unusable, ...series.comparisons].filter(
    (record): record is FailedRecord & ComparisonRecord => 'failed' in record,
  );
  if (failed.length === 0) return undefined;
  return html`<h3>Left out</h3>
<ul>
${failed.map(
  ({
    scan,
    date,
    failed: { code, message },
  }) => html`<li class="failed"><strong>${scan}</strong>${date === undefined ? undefined : `, ${date}`}: ${message} <code>${code}</code></li>
`,
)}</ul>`;
}

function leftOut({ single }: ComparisonData): Html | undefined {
  if (single.length === 0) return undefined;
  return section('single', 'Instruments with one scan', html`<p>There is nothing yet to compare them with: ${single.join(', ')}.</p>`);
}

const glossary = (): Html => html`<dl class="glossary">
${CHANGES.map(
  ({
    id,
    unit,
    title,
    sentence,
  }) => html`<dt>${title} <span class="unit">${unit === 'mm' ? 'mm' : 'degrees'}, <code>${id}</code></span></dt><dd>${sentence}</dd>
`,
)}</dl>
<p class="note">The scans are registered on the body alone: top, ribs and back. What both scans know equally badly cancels in a change.</p>`;
