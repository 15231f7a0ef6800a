import type { MeasureId } from '../measurands/measurands.ts';
import type { StoredFigures } from '../records/figures-file.ts';
import type { MeasuredRecord } from '../records/record.ts';
import { horizontalDimension, verticalDimension } from './dimension-line.ts';
import { type Drawing, dots, drawing, mm, pairsOf, polyline, svg } from './drawing.ts';
import { type Html, html } from './html.ts';
import { roundQuantity } from './round-quantity.ts';
import { UNIT_SIGN } from './trade-words.ts';

/** Margin round the drawing and steps between its lines, in units of lettering. */
const MARGIN = 26;
const STEP = 30;
/** Dots of the section: more cannot be told apart. */
const MOST_DOTS = 5000;
/** Parts of the body's length. */
const ARC_RADIUS = 0.3;
const BEYOND = 0.03;

/**
 * The side view that a maker draws: the section on the centreline at true scale, the edge plane, the board line to the bridge
 * station, and the dimensions taken there. Undefined where there is nothing to draw.
 */
export function sideSection(record: MeasuredRecord, figures: StoredFigures): Html | undefined {
  const section = pairsOf(figures.section, -1);
  const body = record.measures.bodyLength?.value ?? Math.max(0, ...section.map(([x]) => x));
  if (section.length === 0 || body <= 0) return undefined;
  const line = boardLine(figures);
  const d = frame(section, line, body);
  return svg(d, `Side section of ${record.instrument ?? record.scan} on the centreline, true to scale`, [
    html`<path class="cloud" stroke-width="${mm(1.6 * d.unit)}" d="${dots(section, MOST_DOTS)}"/>`,
    html`<path class="surface" stroke-width="${mm(1.8 * d.unit)}" d="${polyline(figures.topCentre, -1)}"/>`,
    html`<path class="found" stroke-width="${mm(2.2 * d.unit)}" d="${polyline(figures.heelContour, -1)}${polyline(figures.boardRidge, -1)}"/>`,
    edgePlane(d, line, body),
    line === undefined ? undefined : boardLineDrawn(record, d, line),
    line === undefined ? undefined : angle(record, d, line, body),
    ...heights(record, d, line),
    ...lengths(record, d),
  ]);
}

interface Line {
  readonly from: number;
  readonly to: number;
  readonly z: (x: number) => number;
  readonly slope: number;
  readonly z0: number;
}

const boardLine = ({ boardLine: l }: StoredFigures): Line | undefined =>
  l === undefined ? undefined : { ...l, z: (x) => l.z0 + l.slope * x };

function frame(section: readonly (readonly [number, number])[], line: Line | undefined, body: number): Drawing {
  const xs = section.map(([x]) => x).concat(line === undefined ? [] : [line.from, line.to], 0, body);
  const ys = section.map(([, y]) => y).concat(line === undefined ? [] : [-line.z(line.from), -line.z(line.to)], 0);
  const [left, right] = ends(xs);
  const [top, bottom] = ends(ys);
  const unit = (right - left) / 900;
  return drawing(left, top - STEP * unit, right, bottom + 2 * STEP * unit, MARGIN);
}

/** Least and greatest; a section may hold more numbers than a call takes arguments. */
const ends = (values: readonly number[]): [number, number] => [
  values.reduce((a, b) => Math.min(a, b)),
  values.reduce((a, b) => Math.max(a, b)),
];

function edgePlane(d: Drawing, line: Line | undefined, body: number): Html {
  const from = Math.min(0, line?.from ?? 0) - BEYOND * body;
  return html`<path class="datum" stroke-dasharray="${mm(14 * d.unit)} ${mm(4 * d.unit)} ${mm(3 * d.unit)} ${mm(4 * d.unit)}" d="M${mm(from)} 0H${mm(body * (1 + BEYOND))}"/><text class="soft" x="${mm(body * 0.97)}" y="${mm(15 * d.unit)}" text-anchor="end">edge plane</text>`;
}

function boardLineDrawn(record: MeasuredRecord, d: Drawing, line: Line): Html {
  const length = record.measures.boardLength?.value;
  const end = length === undefined ? line.to : Math.min(line.to, line.from + length * Math.cos(Math.atan(line.slope)));
  return html`<path class="found" d="M${mm(line.from)} ${mm(-line.z(line.from))}L${mm(end)} ${mm(-line.z(end))}"/><path class="found" stroke-dasharray="${mm(6 * d.unit)} ${mm(4 * d.unit)}" d="M${mm(end)} ${mm(-line.z(end))}L${mm(line.to)} ${mm(-line.z(line.to))}"/><text x="${mm(end)}" y="${mm(-line.z(end) - 12 * d.unit)}" text-anchor="middle">board line</text>`;
}

/** The neck angle, at the nut: between the board line and a parallel to the edge plane. */
function angle(record: MeasuredRecord, d: Drawing, line: Line, body: number): Html | undefined {
  const text = figureOf(record, 'neckAngle', 'neck angle');
  if (text === undefined) return undefined;
  const r = ARC_RADIUS * body;
  const a = Math.atan(line.slope);
  const [x, y] = [line.from, -line.z(line.from)];
  return html`<path class="dimension" stroke-width="${mm(0.5 * d.unit)}" d="M${mm(x)} ${mm(y)}h${mm(1.06 * r)}"/><path class="dimension" d="M${mm(x + r)} ${mm(y)}A${mm(r)} ${mm(r)} 0 0 ${a > 0 ? 0 : 1} ${mm(x + r * Math.cos(a))} ${mm(y - r * Math.sin(a))}"/><text class="figure" x="${mm(x)}" y="${mm(Math.min(y, y - r * Math.sin(a)) - 26 * d.unit)}">${text}</text>`;
}

function heights(record: MeasuredRecord, d: Drawing, line: Line | undefined): readonly (Html | undefined)[] {
  const { projection, overstand } = record.measures;
  const at = (x: number, from: number, to: number, id: MeasureId, name: string): Html | undefined => {
    const text = figureOf(record, id, name);
    return text === undefined ? undefined : verticalDimension(d, x, -to, -from, text);
  };
  return [
    line === undefined || projection === undefined
      ? undefined
      : at(line.to, line.z(line.to) - projection.value, line.z(line.to), 'projection', 'projection'),
    overstand === undefined ? undefined : at(0, 0, overstand.value, 'overstand', 'overstand'),
  ];
}

/** Neck length and stop under the drawing, with lines up to the edge plane. */
function lengths(record: MeasuredRecord, d: Drawing): readonly (Html | undefined)[] {
  const y = d.top + d.height - MARGIN * d.unit;
  const { neckLength, stop } = record.measures;
  const nut =
    neckLength === undefined ? undefined : -neckLength.value * Math.cos(((record.measures.neckAngle?.value ?? 0) * Math.PI) / 180);
  const from = (x: number | undefined): Html | undefined =>
    x === undefined
      ? undefined
      : html`<path class="dimension" stroke-width="${mm(0.5 * d.unit)}" d="M${mm(x)} ${mm(6 * d.unit)}V${mm(y + 5 * d.unit)}"/>`;
  const neckText = figureOf(record, 'neckLength', 'neck');
  const stopText = figureOf(record, 'stop', 'stop');
  return [
    from(nut),
    from(nut === undefined && stop === undefined ? undefined : 0),
    from(stop?.value),
    nut === undefined || neckText === undefined ? undefined : horizontalDimension(d, nut, 0, y, neckText),
    stop === undefined || stopText === undefined ? undefined : horizontalDimension(d, 0, stop.value, y, stopText),
  ];
}

function figureOf(record: MeasuredRecord, id: MeasureId, name: string): string | undefined {
  const quantity = record.measures[id];
  if (quantity === undefined) return undefined;
  const { value, U95 } = roundQuantity(quantity);
  return `${name} ${value} ± ${U95}${quantity.unit === 'deg' ? '' : ' '}${UNIT_SIGN[quantity.unit]}`;
}
