import type { ComparedPair } from './compared-pair.ts';
import type { TestedAll } from './significance.ts';

/** Standard deviations from which on a scale mismatch is worth telling, and its least size. */
const SCALE_Z = 3;
const LEAST_SCALE = 1e-4;
/** Change of the board line by the board alone that is worth telling, mm × size: what a light planing takes off. */
const BOARD_CHANGED = 0.06;
/** Difference of a board's length or width from which on it is another board, mm × size. */
const OTHER_BOARD = 0.8;

/** What a maker must know to read the changes rightly. */
export function changeWarnings(pair: ComparedPair, tested: TestedAll, scale: { readonly value: number; readonly u: number }): string[] {
  return [...scaleWarnings(scale), ...boardWarnings(pair, tested)];
}

function scaleWarnings({ value, u }: { readonly value: number; readonly u: number }): string[] {
  if (!(Math.abs(value) > Math.max(SCALE_Z * u, LEAST_SCALE))) return [];
  const percent = (100 * Math.abs(value)).toFixed(2);
  return [
    `lengths along the grain are ${percent} % ${value > 0 ? 'longer' : 'shorter'} in the later scan: the scanners' scales differ; nothing was scaled`,
  ];
}

function boardWarnings(pair: ComparedPair, { changes, differences }: TestedAll): string[] {
  const { size } = pair.placed;
  const larger = (['boardLength', 'boardWidthNut', 'boardWidthEnd'] as const).find((id) => {
    const d = differences[id];
    return d !== undefined && Math.abs(d.value) > Math.max(OTHER_BOARD * size, d.U95 * 2);
  });
  if (larger !== undefined) return ['the board has another size than in the baseline: it is a new board'];
  const board = changes.projectionByBoard;
  if (board === undefined || board.significantAlone !== true || Math.abs(board.value) < BOARD_CHANGED * size) return [];
  const neck = changes.projectionByNeck;
  const still = neck !== undefined && neck.significantAlone !== true;
  return [
    `the board changed against the neck's wood (${board.value > 0 ? '+' : '−'}${Math.abs(board.value).toFixed(2)} mm at the bridge): it was planed, bent or replaced${still ? '; the wood of the neck did not move' : ''}`,
  ];
}
