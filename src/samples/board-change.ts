import type { BoardSpec, NeckSpec } from './neck-spec.ts';
import type { Neck } from './neck.ts';

/** What may happen to a board; the neck under it stays as it is. mm. */
export interface BoardChange {
  /** Wood planed off the playing surface, at the nut and at its end, straight between. */
  readonly planed: { readonly nut: number; readonly end: number };
  /** The free board bends: rise of its end, falling off with the square of the distance from the joint. */
  readonly bent: number;
  /** Another board, glued to the same neck: measures that differ from the old one's. Its taper is the neck's, so that only length and heights are free. */
  readonly replaced?: Pick<BoardSpec, 'length' | 'edgeEnd' | 'radiusNut' | 'radiusEnd' | 'scoopBass' | 'scoopCentre' | 'scoopTreble'>;
}

export const NO_BOARD_CHANGE: BoardChange = { planed: { nut: 0, end: 0 }, bent: 0 };

/**
 * The neck with its changed board. A new board is as wide as the neck under it, so its end is as wide as the taper makes it.
 *
 * @param build  draws a neck from its measures
 */
export function changeBoard(neck: Neck, change: BoardChange, build: (spec: NeckSpec) => Neck): Neck {
  const old = neck.spec.board;
  const board = change.replaced === undefined ? old : { ...old, ...change.replaced, widthEnd: taperAt(old, change.replaced.length) };
  const spec = { ...neck.spec, board };
  const drawn = change.replaced === undefined ? neck : build(spec);
  const { planed, bent } = change;
  const share = (x: number) => (x - drawn.boardStart) / (drawn.boardEnd - drawn.boardStart);
  const rise = (x: number) => (x > 0 ? bent * (x / drawn.boardEnd) ** 2 : 0);
  return {
    ...neck,
    spec,
    boardStart: drawn.boardStart,
    boardEnd: drawn.boardEnd,
    upperY: drawn.upperY,
    lowerY: drawn.lowerY,
    surfaceZ: (x, y) => drawn.surfaceZ(x, y) - planed.nut - (planed.end - planed.nut) * share(x) + rise(x),
    lowerZ: (x) => drawn.lowerZ(x) + rise(x),
    undersideZ: (x, y) => drawn.undersideZ(x, y) + rise(x),
  };
}

const taperAt = (b: BoardSpec, length: number) => b.widthNut + ((b.widthEnd - b.widthNut) * length) / b.length;
