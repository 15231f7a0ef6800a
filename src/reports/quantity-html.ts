import type { Quantity } from '../measures/result.ts';
import { type Html, html } from './html.ts';
import { roundQuantity } from './round-quantity.ts';
import type { IntendedRange } from './survey-data.ts';

/** A value with its interval, its quality in words where it is not good, and whether it leaves a stated range. */
export const quantityHtml = (q: Quantity, limits?: IntendedRange, intended?: IntendedRange): Html =>
  html`${intervalHtml(q)}${qualityTag(q)}${rangesTag(q, limits, intended)}`;

/** The worse of the two that a value leaves. */
export const rangesTag = (q: Quantity, limits?: IntendedRange, intended?: IntendedRange): Html | undefined =>
  rangeTag(q, limits, 'limits') ?? rangeTag(q, intended, 'intended');

export function intervalHtml(q: Quantity): Html {
  const { value, U95, below, above } = roundQuantity(q);
  return below === undefined ? html`${value} <span class="pm">± ${U95}</span>` : html`${value} <span class="pm">+${above} −${below}</span>`;
}

const qualityTag = ({ quality }: Quantity): Html | undefined =>
  quality === 'good' ? undefined : html`<span class="tag ${quality}">${quality}</span>`;

/** Said only where the whole interval lies outside: a value that may still be inside is not called out. */
function rangeTag(q: Quantity, range: IntendedRange | undefined, name: string): Html | undefined {
  if (range === undefined) return undefined;
  if (range.max !== undefined && (q.low ?? q.value - q.U95) > range.max) return html`<span class="tag out">▲ above ${name}</span>`;
  if (range.min !== undefined && (q.high ?? q.value + q.U95) < range.min) return html`<span class="tag out">▼ below ${name}</span>`;
  return undefined;
}
