import type { MeasuredComparison } from '../records/comparison-record.ts';
import { type ChangedQuantity, differingQuantities, movedQuantities, type Verdict } from './changed-quantities.ts';
import { type Html, html } from './html.ts';
import { decimalsFor, fixed } from './round-quantity.ts';
import { UNIT_SIGN } from './trade-words.ts';

const VERDICT_WORDS: Readonly<Record<Verdict, string>> = {
  real: 'yes',
  alone: 'by its own test only',
  uncounted: 'by its own test',
  no: 'no',
  'with the row above': 'see the row above',
  'not tested': 'not tested',
};

/** What moved between the two scans of a pair: each change with its interval, whether it is real, and how large it had to be. */
export const changeTable = (pair: MeasuredComparison): Html => html`<div class="wide" tabindex="0" role="region" aria-label="Changes">
<table>
<caption><span>± is the half-width of the 95 % interval. Real: more than two scans of an instrument at rest show, judged over the headline changes of the pair together (Holm, 95 %); by its own test: such a one turns up by chance in one of twenty. The last column is the true change that this pair would have shown in 95 of 100 cases.</span></caption>
<thead><tr><th scope="col">What</th><th scope="col" class="number">Change</th><th scope="col">Unit</th><th scope="col">Real</th><th scope="col" class="number">Smallest shown</th></tr></thead>
${group('Moved against the body', movedQuantities(pair))}${group("Differences, in the baseline's datums and at its bridge station: not the subtraction of two rows", differingQuantities(pair))}</table>
</div>`;

const group = (title: string, quantities: readonly ChangedQuantity[]): Html => html`<tbody>
<tr class="group"><th scope="rowgroup" colspan="5">${title}</th></tr>
${quantities.map(row)}</tbody>
`;

function row({ title, unit, found }: ChangedQuantity): Html {
  const head = html`<th scope="row">${title}</th>`;
  if ('reason' in found)
    return html`<tr>${head}<td colspan="4" class="absent">absent: ${found.reason}</td></tr>
`;
  const quality = found.quality === 'good' ? undefined : html`<span class="tag ${found.quality}">${found.quality}</span>`;
  const verdict = found.verdict === 'real' ? html`<strong>${VERDICT_WORDS.real}</strong>` : VERDICT_WORDS[found.verdict];
  const smallest = found.smallest === undefined ? '' : fixed(found.smallest, decimalsFor(found.U95));
  return html`<tr>${head}<td class="number">${signedHtml(found)}${quality}</td><td>${UNIT_SIGN[unit]}</td><td>${verdict}</td><td class="number">${smallest}</td></tr>
`;
}

/** A change with its sign and its interval. */
export function signedHtml({ value, U95 }: { readonly value: number; readonly U95: number }): Html {
  const decimals = decimalsFor(U95);
  return html`${signed(value, decimals)} <span class="pm">± ${fixed(U95, decimals)}</span>`;
}

/** A number with its sign, the plus sign too; none on what rounds to zero. */
export function signed(value: number, decimals: number): string {
  const text = fixed(value, decimals);
  return value > 0 && Number(text) !== 0 ? `+${text}` : text;
}

/** The real changes of a pair in one sentence, or how large a change of projection had to be. */
export function changeSentence(pair: MeasuredComparison): string {
  const all = [...movedQuantities(pair), ...differingQuantities(pair)];
  const real = all.flatMap(({ title, unit, found }) => {
    if (!('verdict' in found) || found.verdict !== 'real') return [];
    const decimals = decimalsFor(found.U95);
    const sign = UNIT_SIGN[unit];
    return [`${title} ${signed(found.value, decimals)} ± ${fixed(found.U95, decimals)}${sign === 'mm' ? ' mm' : sign}`];
  });
  if (real.length > 0) return `Real: ${real.join('; ')}.`;
  const smallest = pair.differences.projection?.smallest;
  const bound =
    smallest === undefined
      ? ''
      : ` A change of projection of ${fixed(smallest, decimalsFor(smallest))} mm would have been found in 95 of 100 cases.`;
  return `No change that is more than these scans can tell apart.${bound}`;
}
