import { MEASURANDS, type MeasurandDefinition, type MeasureGroup, type MeasureId } from '../measurands/measurands.ts';
import type { Quantity } from '../measures/result.ts';
import type { MeasuredRecord } from '../records/record.ts';
import { type Html, html } from './html.ts';
import { intervalHtml, rangesTag } from './quantity-html.ts';
import { fixed, decimalsFor } from './round-quantity.ts';
import type { SurveyData } from './survey-data.ts';
import { GROUP_TITLE, UNIT_SIGN } from './trade-words.ts';

/** All measures of one scan with their uncertainty budgets, and what is absent with its reason. */
export const measureTable = (
  record: MeasuredRecord,
  survey: SurveyData,
): Html => html`<div class="wide" tabindex="0" role="region" aria-label="Measures">
<table>
<caption><span>± is the half-width of the 95 % interval, u the standard uncertainty; its sources are listed with their shares of u, the largest first. Assumed: its size is neither seen in the scan nor stated in the catalogue.</span></caption>
<thead><tr><th scope="col">Measure</th><th scope="col" class="number">Value</th><th scope="col">Unit</th><th scope="col">Quality</th><th scope="col" class="number">u</th><th scope="col">Where u comes from</th></tr></thead>
${(['board', 'neck', 'body', 'secondary'] as const).map((group) => groupBody(record, survey, group))}</table>
</div>`;

function groupBody(record: MeasuredRecord, survey: SurveyData, group: MeasureGroup): Html | undefined {
  const rows = MEASURANDS.filter((m) => m.group === group).flatMap((m) => row(record, survey, m) ?? []);
  if (rows.length === 0) return undefined;
  return html`<tbody>
<tr class="group"><th scope="rowgroup" colspan="6">${GROUP_TITLE[group]}</th></tr>
${rows}</tbody>
`;
}

function row(record: MeasuredRecord, survey: SurveyData, m: MeasurandDefinition & { readonly id: MeasureId }): Html | undefined {
  const head = html`<th scope="row">${m.title}</th>`;
  const quantity = record.measures[m.id];
  if (quantity !== undefined) {
    const basis = quantity.basis === 'measured' ? undefined : html` (${quantity.basis})`;
    return html`<tr>${head}<td class="number">${intervalHtml(quantity)}${rangesTag(quantity, survey.limits[m.id], survey.intended[m.id])}</td><td>${UNIT_SIGN[m.unit]}</td><td>${quantity.quality}${basis}</td><td class="number">${fixed(quantity.u, decimalsFor(quantity.u))}</td><td>${budget(quantity)}</td></tr>
`;
  }
  const reason = record.absent.find(({ measure }) => measure === m.id)?.reason;
  return reason === undefined
    ? undefined
    : html`<tr>${head}<td colspan="5" class="absent">absent: ${reason}</td></tr>
`;
}

const budget = (q: Quantity): string =>
  [...q.budget]
    .sort((a, b) => b.u - a.u)
    .map(({ source, u, assumed }) => `${source} ${fixed(u, decimalsFor(u))}${assumed === true ? ' (assumed)' : ''}`)
    .join(', ');
