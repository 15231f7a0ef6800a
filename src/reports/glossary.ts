import { MEASURANDS, type MeasurandDefinition, type MeasureId } from '../measurands/measurands.ts';
import { type Html, html } from './html.ts';

const UNIT_WORD = { mm: 'mm', deg: 'degrees', 1: 'ratio' } as const;

/** What the measures mean: those that a page shows, then, folded away, all others. */
export const glossary = (shown: ReadonlySet<MeasureId>): Html => html`${terms(MEASURANDS.filter(({ id }) => shown.has(id)))}
<details><summary>Other measures that a scan may show</summary>
${terms(MEASURANDS.filter(({ id }) => !shown.has(id)))}</details>
<p class="note">The edge plane is the plane through the crest of the top's edge; the joint is where the outline of the top meets the sides of the neck. The trade also speaks of a neck angle of some 84 to 87°: that is the angle of the heel or of its mortise to the body, another quantity. Heel lean and heel bow from one scan are the heel's shape, carving and distortion together.</p>`;

const terms = (measurands: readonly MeasurandDefinition[]): Html => html`<dl class="glossary">
${measurands.map(
  (
    m,
  ) => html`<dt id="term-${m.id}">${m.title} <span class="unit">${UNIT_WORD[m.unit]}, <code>${m.id}</code></span></dt><dd>${m.sentence}</dd>
`,
)}</dl>`;
