import { type Html, html } from './html.ts';

/** A true-scale drawing in millimetres, with lettering and lines in proportion to its width. */
export interface Drawing {
  /** mm of the drawing that one unit of lettering takes: the whole drawing is `UNITS_ACROSS` of them wide. */
  readonly unit: number;
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

/** A drawing is laid out as if it were this wide; lettering of 11 reads like small print then. */
const UNITS_ACROSS = 960;
export const LETTERING = 12.5;

/** A drawing that holds the box (mm, y downwards), with `margin` units round it. */
export function drawing(left: number, top: number, right: number, bottom: number, margin: number): Drawing {
  const unit = (right - left) / (UNITS_ACROSS - 2 * margin);
  const m = margin * unit;
  return { unit, left: left - m, top: top - m, width: right - left + 2 * m, height: bottom - top + 2 * m };
}

/** The `svg` element of a drawing. */
export const svg = (d: Drawing, label: string, content: readonly (Html | undefined)[]): Html =>
  html`<svg viewBox="${mm(d.left)} ${mm(d.top)} ${mm(d.width)} ${mm(d.height)}" role="img" aria-label="${label}" font-size="${mm(LETTERING * d.unit)}" stroke-width="${mm(d.unit)}">
${content.map((part) =>
  part === undefined
    ? undefined
    : html`${part}
`,
)}</svg>`;

/** A coordinate for SVG: hundredths of a millimetre, never a negative zero. */
export const mm = (x: number): string => String(Math.round(100 * x) / 100 + 0);

/** A line through flat pairs (x, y downwards already); null or NaN begins a new piece. */
export function polyline(pairs: readonly (number | null)[], flip: -1 | 1): string {
  let path = '';
  let pen = 'M';
  for (let i = 0; i + 1 < pairs.length; i += 2) {
    const x = pairs[i];
    const y = pairs[i + 1];
    if (x === null || x === undefined || y === null || y === undefined || Number.isNaN(x) || Number.isNaN(y)) {
      pen = 'M';
      continue;
    }
    path += `${pen}${mm(x)} ${mm(flip * y)}`;
    pen = 'L';
  }
  return path;
}

/** Dots at flat pairs, as one path of round strokes without length; at most `most`, evenly thinned. */
export function dots(pairs: readonly (readonly [number, number])[], most: number): string {
  const step = Math.max(1, pairs.length / most);
  let path = '';
  for (let i = 0; i < pairs.length; i += step) {
    const [x, y] = pairs[Math.floor(i)] as readonly [number, number];
    path += `M${mm(x)} ${mm(y)}h0`;
  }
  return path;
}

/** Flat pairs as points, gaps left out, y turned downwards by `flip`. */
export function pairsOf(flat: readonly (number | null)[], flip: -1 | 1): (readonly [number, number])[] {
  const pairs: (readonly [number, number])[] = [];
  for (let i = 0; i + 1 < flat.length; i += 2) {
    const x = flat[i];
    const y = flat[i + 1];
    if (typeof x === 'number' && typeof y === 'number' && Number.isFinite(x) && Number.isFinite(y)) pairs.push([x, flip * y]);
  }
  return pairs;
}
