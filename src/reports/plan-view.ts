import type { StoredFigures } from '../records/figures-file.ts';
import type { MeasuredRecord } from '../records/record.ts';
import { type Drawing, dots, drawing, mm, polyline, svg } from './drawing.ts';
import { type Html, html } from './html.ts';
import { roundQuantity } from './round-quantity.ts';

/** In units of lettering. */
const MARGIN = 26;
/** Dots of the thinned surface: enough to know the instrument by. */
const MOST_DOTS = 8000;
/** Centrelines run on by this share of the body's length. */
const BEYOND = 0.04;
const DEGREE = Math.PI / 180;

/**
 * The instrument seen from the front at true scale, nut to the left, treble side up: the outline of the top, the body's centreline,
 * and the board's own centreline produced to the bridge station. Undefined where there is nothing to draw.
 */
export function planView(record: MeasuredRecord, figures: StoredFigures): Html | undefined {
  const points = planPoints(figures.points);
  const outline = figures.outline.filter((v) => v !== null);
  if (outline.length === 0) return undefined;
  const body = record.measures.bodyLength?.value ?? outline.reduce((a, x, i) => (i % 2 === 0 ? Math.max(a, x) : a), 0);
  const d = frame(outline, points, Math.min(0, boardEnds(record)?.nut ?? 0), body);
  return svg(d, `Plan of ${record.instrument ?? record.scan} from the front, true to scale`, [
    html`<path class="cloud" stroke-width="${mm(1.4 * d.unit)}" d="${dots(points, MOST_DOTS)}"/>`,
    html`<path class="surface" stroke-width="${mm(2.2 * d.unit)}" d="${polyline(figures.outline, -1)}"/>`,
    html`<path class="datum" stroke-dasharray="${mm(14 * d.unit)} ${mm(4 * d.unit)} ${mm(3 * d.unit)} ${mm(4 * d.unit)}" d="M${mm(-BEYOND * body)} 0H${mm(body * (1 + BEYOND))}"/>`,
    html`<text class="soft" x="${mm(body * 0.97)}" y="${mm(-6 * d.unit)}" text-anchor="end">centreline of the body</text>`,
    boardPlan(record),
    station(record, d),
    boardCentreline(record, d),
  ]);
}

function planPoints(points: readonly (number | null)[]): (readonly [number, number])[] {
  const pairs: (readonly [number, number])[] = [];
  for (let i = 0; i + 2 < points.length; i += 3) {
    const x = points[i];
    const y = points[i + 1];
    if (typeof x === 'number' && typeof y === 'number') pairs.push([x, -y]);
  }
  return pairs;
}

function frame(outline: readonly number[], points: readonly (readonly [number, number])[], nut: number, body: number): Drawing {
  let [left, right, top, bottom] = [nut - BEYOND * body, body * (1 + BEYOND), 0, 0];
  const take = (x: number, y: number): void => {
    left = Math.min(left, x);
    right = Math.max(right, x);
    top = Math.min(top, y);
    bottom = Math.max(bottom, y);
  };
  for (let i = 0; i + 1 < outline.length; i += 2) take(outline[i] as number, -(outline[i + 1] as number));
  for (const [x, y] of points) take(x, y);
  return drawing(left, top, right, bottom, MARGIN);
}

/** y of the board's centreline (treble up, so turned round for SVG), as offset and yaw give it. */
function centreline(record: MeasuredRecord): ((x: number) => number) | undefined {
  const { boardOffset, boardYaw } = record.measures;
  if (boardOffset === undefined || boardYaw === undefined || record.station === undefined) return undefined;
  const x0 = record.station.x;
  return (x) => -(boardOffset.value + (x - x0) * Math.tan(boardYaw.value * DEGREE));
}

/** Where nut and board end lie along x. */
function boardEnds(record: MeasuredRecord): { nut: number; end: number } | undefined {
  const { neckLength, boardLength, neckAngle } = record.measures;
  if (neckLength === undefined || boardLength === undefined) return undefined;
  const c = Math.cos((neckAngle?.value ?? 0) * DEGREE);
  return { nut: -neckLength.value * c, end: (boardLength.value - neckLength.value) * c };
}

function boardPlan(record: MeasuredRecord): Html | undefined {
  const y = centreline(record);
  const ends = boardEnds(record);
  const { boardWidthNut, boardWidthEnd } = record.measures;
  if (y === undefined || ends === undefined || boardWidthNut === undefined || boardWidthEnd === undefined) return undefined;
  const corner = (x: number, half: number): string => `${mm(x)} ${mm(y(x) + half)}`;
  const [n, e] = [boardWidthNut.value / 2, boardWidthEnd.value / 2];
  return html`<path class="found" d="M${corner(ends.nut, -n)}L${corner(ends.end, -e)}L${corner(ends.end, e)}L${corner(ends.nut, n)}Z"/>`;
}

function station(record: MeasuredRecord, d: Drawing): Html | undefined {
  if (record.station === undefined) return undefined;
  const half = 0.18 * (d.height - 2 * MARGIN * d.unit);
  const x = record.station.x;
  return html`<path class="axis" d="M${mm(x)} ${mm(-half)}V${mm(half)}"/><text class="soft" x="${mm(x)}" y="${mm(half + 16 * d.unit)}" text-anchor="middle">bridge station</text>`;
}

function boardCentreline(record: MeasuredRecord, d: Drawing): Html | undefined {
  const y = centreline(record);
  const ends = boardEnds(record);
  const { boardOffset } = record.measures;
  if (y === undefined || boardOffset === undefined || record.station === undefined) return undefined;
  const from = ends?.nut ?? 0;
  const to = record.station.x;
  const { value, U95 } = roundQuantity(boardOffset);
  return html`<path class="found" stroke-dasharray="${mm(6 * d.unit)} ${mm(4 * d.unit)}" d="M${mm(from)} ${mm(y(from))}L${mm(to)} ${mm(y(to))}"/><text class="figure" x="${mm(to + 8 * d.unit)}" y="${mm(20 * d.unit)}">board offset ${value} ± ${U95} mm</text>`;
}
