import { MEASURAND, type MeasureId } from '../measurands/measurands.ts';
import { isFailed, type ScanRecord } from '../records/record.ts';
import { HEADLINES } from './headlines.ts';
import { type Html, html } from './html.ts';
import { quantityHtml } from './quantity-html.ts';
import { instrumentName } from './scan-name.ts';
import type { SurveyData } from './survey-data.ts';
import type { SurveyGroup, SurveyScan } from './survey-groups.ts';
import { UNIT_SIGN } from './trade-words.ts';

/** One row a scan: the headline measures with their intervals. */
export const surveyTable = (
  survey: SurveyData,
  groups: readonly SurveyGroup[],
): Html => html`<div class="wide" tabindex="0" role="region" aria-label="Survey table">
<table class="survey">
<caption><span>One row a scan. ± is the half-width of the 95 % interval. A value without a word is of good quality; fair and poor are named. The reason for what is absent stands below the drawings.</span></caption>
<thead><tr><th scope="col">Instrument</th>${HEADLINES.map(headCell)}</tr></thead>
${groups.map(
  (group) => html`<tbody>
${
  group.name === ''
    ? undefined
    : html`<tr class="group"><th scope="rowgroup" colspan="${HEADLINES.length + 1}">${group.name}</th></tr>
`
}${group.scans.map((scan) => row(survey, scan))}</tbody>
`,
)}</table>
</div>`;

function headCell(id: MeasureId): Html {
  const m = MEASURAND.get(id);
  const sign = UNIT_SIGN[m?.unit ?? '1'];
  return html`<th scope="col" class="number"><a href="#term-${id}">${m?.title}</a><span class="unit">${sign === '' ? 'ratio' : sign}</span></th>`;
}

function row(survey: SurveyData, { record, href }: SurveyScan): Html {
  const about = [isFailed(record) ? undefined : record.class.value, record.date].filter((part) => part !== undefined).join(', ');
  const head = html`<th scope="row"><a href="${href}">${instrumentName(record)}</a><span class="date">${about}</span></th>`;
  if (isFailed(record))
    return html`<tr>${head}<td colspan="${HEADLINES.length}" class="failed">not measured: ${record.failed.message}</td></tr>
`;
  return html`<tr>${head}${HEADLINES.map((id) => html`<td class="number">${cell(survey, record, id)}</td>`)}</tr>
`;
}

function cell(survey: SurveyData, record: Exclude<ScanRecord, { failed: unknown }>, id: MeasureId): Html {
  const quantity = record.measures[id];
  if (quantity !== undefined) return quantityHtml(quantity, survey.limits[id], survey.intended[id]);
  return html`<span class="absent" title="${record.absent.find(({ measure }) => measure === id)?.reason ?? ''}">absent</span>`;
}
