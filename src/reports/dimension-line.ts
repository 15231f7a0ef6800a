import { type Drawing, mm } from './drawing.ts';
import { type Html, html } from './html.ts';

/** Units of lettering. */
const ARROW_LENGTH = 9;
const ARROW_HALF_WIDTH = 3;
const GAP = 5;
/** Below this distance the arrows stand outside and point inwards. */
const ROOM_FOR_ARROWS = 3 * ARROW_LENGTH;

/** A vertical dimension from y1 down to y2 (mm, y downwards) at x, its figure to the right; below it where there is no room inside. */
export function verticalDimension(d: Drawing, x: number, y1: number, y2: number, figure: string): Html {
  const top = Math.min(y1, y2);
  const bottom = Math.max(y1, y2);
  const inside = (bottom - top) / d.unit > ROOM_FOR_ARROWS;
  const tail = inside ? 0 : 2 * ARROW_LENGTH * d.unit;
  const way = inside ? 1 : -1;
  return html`<path class="dimension" d="M${mm(x)} ${mm(top - tail)}V${mm(inside ? bottom : top)}M${mm(x)} ${mm(bottom + tail)}V${mm(inside ? top : bottom)}"/><path class="arrow" d="${arrow(d, x, top, 0, way)}${arrow(d, x, bottom, 0, -way as 1 | -1)}"/><text class="figure" x="${mm(x + GAP * d.unit)}" y="${mm(inside ? (top + bottom) / 2 + 4 * d.unit : bottom + tail)}">${figure}</text>`;
}

/** A horizontal dimension from x1 to x2 (mm) at y, its figure above the middle. */
export function horizontalDimension(d: Drawing, x1: number, x2: number, y: number, figure: string): Html {
  const left = Math.min(x1, x2);
  const right = Math.max(x1, x2);
  return html`<path class="dimension" d="M${mm(left)} ${mm(y)}H${mm(right)}"/><path class="arrow" d="${arrow(d, left, y, 1, 0)}${arrow(d, right, y, -1, 0)}"/><text class="figure" x="${mm((left + right) / 2)}" y="${mm(y - GAP * d.unit)}" text-anchor="middle">${figure}</text>`;
}

/** An arrow head whose tip is at (x, y); its body lies in the direction (dx, dy). */
export function arrow(d: Drawing, x: number, y: number, dx: number, dy: number): string {
  const l = ARROW_LENGTH * d.unit;
  const w = ARROW_HALF_WIDTH * d.unit;
  return `M${mm(x)} ${mm(y)}L${mm(x + dx * l - dy * w)} ${mm(y + dy * l + dx * w)}L${mm(x + dx * l + dy * w)} ${mm(y + dy * l - dx * w)}Z`;
}
