import type { Quantity } from '../measures/result.ts';
import { type Html, html } from './html.ts';
import { fixed, roundQuantity } from './round-quantity.ts';
import type { IntendedRange } from './survey-data.ts';
import { ticks } from './ticks.ts';

export interface StripRow {
  /** Name of the group; empty where there are no groups. */
  readonly name: string;
  readonly values: readonly { readonly name: string; readonly href: string; readonly quantity: Quantity }[];
}

/** Units of the drawing: pixels at its natural size. */
const WIDTH = 400;
const ROW = 30;
const TOP = 8;
const AXIS = 22;
const LEFT = 10;
const RIGHT = 14;
const GROUP_LABEL = 14;
const DOT = 4;

/** Values of one measurand on one axis, a row a group: dot, 95 % interval, and the median of rows with three or more. */
export function stripChart(title: string, rows: readonly StripRow[], limits?: IntendedRange, intended?: IntendedRange): Html {
  const rowHeight = ROW + (rows.some(({ name }) => name !== '') ? GROUP_LABEL : 0);
  const bottom = TOP + rows.length * rowHeight;
  const { at, low, high } = scale(rows, limits, intended);
  const axis = ticks(low, high, 6);
  return html`<svg viewBox="0 0 ${WIDTH} ${bottom + AXIS}" role="img" aria-label="${title}: ${summary(rows)}" font-size="11">
${intended === undefined ? undefined : html`<rect class="band" x="${at(Math.max(low, intended.min ?? low))}" y="${TOP}" width="${round(at(Math.min(high, intended.max ?? high)) - at(Math.max(low, intended.min ?? low)))}" height="${bottom - TOP}"/>`}
${[limits?.min, limits?.max].map((x) => (x === undefined ? undefined : html`<path class="limit" stroke-dasharray="4 3" d="M${at(x)} ${TOP}V${bottom}"/>`))}
<path class="axis" d="M${LEFT} ${bottom}H${WIDTH - RIGHT}${axis.values.map((x) => `M${at(x)} ${bottom}v4`).join('')}"/>
${axis.values.map((x) => html`<text class="soft" x="${at(x)}" y="${bottom + 16}" text-anchor="middle">${fixed(x, axis.decimals)}</text>`)}
${rows.map((row, i) => stripRow(row, TOP + (i + 1) * rowHeight - ROW / 2, at))}
</svg>`;
}

function stripRow(row: StripRow, y: number, at: (x: number) => number): Html {
  const median = row.values.length < 3 ? undefined : medianOf(row.values.map(({ quantity }) => quantity.value));
  return html`${row.name === '' ? undefined : html`<text class="soft" x="${LEFT}" y="${y - ROW / 2 + 2}">${row.name}</text>`}
${median === undefined ? undefined : html`<path class="median" stroke-width="2" d="M${at(median)} ${y - 10}v20"/>`}
${row.values.map(({ name, href, quantity }) => {
  const { value, U95 } = roundQuantity(quantity);
  const low = quantity.low ?? quantity.value - quantity.U95;
  const high = quantity.high ?? quantity.value + quantity.U95;
  return html`<a href="${href}"><title>${name}: ${value} ± ${U95}${quantity.quality === 'good' ? '' : `, ${quantity.quality}`}</title><path class="bar" stroke-width="2" d="M${at(low)} ${y}H${at(high)}"/><circle class="dot ${quantity.quality === 'good' ? '' : 'fair'}" cx="${at(quantity.value)}" cy="${y}" r="${DOT}"/></a>
`;
})}`;
}

function scale(rows: readonly StripRow[], limits: IntendedRange | undefined, intended: IntendedRange | undefined) {
  const values = rows.flatMap((row) => row.values.map(({ quantity }) => quantity));
  const stated = [limits?.min, limits?.max, intended?.min, intended?.max].filter((x) => x !== undefined);
  // Intervals of poor values may be wider than all the rest together: they run out of the picture instead of squeezing it.
  const ends = values.flatMap((q) => (q.quality === 'poor' ? [q.value] : [q.value - q.U95, q.value + q.U95]));
  const least = Math.min(...ends, ...stated);
  const most = Math.max(...ends, ...stated);
  const margin = 0.06 * (most - least) || Math.max(0.5, 0.02 * Math.abs(most));
  const low = least - margin;
  const high = most + margin;
  const at = (x: number): number => round(Math.min(WIDTH - 2, Math.max(2, LEFT + ((x - low) / (high - low)) * (WIDTH - LEFT - RIGHT))));
  return { at, low, high };
}

function summary(rows: readonly StripRow[]): string {
  const values = rows.flatMap((row) => row.values.map(({ quantity }) => quantity.value));
  return `${values.length} values from ${fixed(Math.min(...values), 1)} to ${fixed(Math.max(...values), 1)}, median ${fixed(medianOf(values), 1)}`;
}

function medianOf(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const half = sorted.length >> 1;
  return sorted.length % 2 === 1 ? (sorted[half] as number) : ((sorted[half - 1] as number) + (sorted[half] as number)) / 2;
}

const round = (x: number): number => Math.round(10 * x) / 10;
