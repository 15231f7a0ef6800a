import type { Motion } from '../geometry/motion.ts';
import { turnAbout } from './turn.ts';

/** Share of the body's length that turns with the upper block (measurands.md's stretch), and over which the turn then fades out. */
export const BLOCK = 0.12;
const FADE = 0.04;

/** An upper block that gave way, in the instrument frame; positive when its neck end rises. */
export interface BlockTurn {
  /** Turn about y, radians. */
  readonly angle: number;
  readonly bodyLength: number;
  /** z about which cross-sections turn, mm: half the ribs' height. */
  readonly middle: number;
}

/** The rigid motion of what lies within the block's stretch, and of the neck that hangs on it. */
export function blockMotion({ angle, bodyLength, middle }: BlockTurn): Motion {
  return turnAbout([0, angle, 0], [BLOCK * bodyLength, 0, middle], [0, 0, (angle * FADE * bodyLength) / 2]);
}

/** Moves a point of the body, in place: cross-sections turn by the full angle up to the end of the stretch and less and less beyond it. */
export function blockMover(turn: BlockTurn): (p: Float64Array) => void {
  const { angle, bodyLength, middle } = turn;
  const from = BLOCK * bodyLength;
  const width = FADE * bodyLength;
  return (p) => {
    const t = Math.max(0, Math.min(1, (p[0] - from) / width));
    if (t === 1) return;
    // Angle that falls off as a smooth step, and its integral from here to where it has gone.
    const here = angle * (1 - t * t * (3 - 2 * t));
    const before = Math.max(0, from - p[0]);
    const rise = angle * width * (0.5 - t + t ** 3 - t ** 4 / 2) + before * Math.sin(angle);
    const above = p[2] - middle;
    p[0] += above * Math.sin(here) + before * (1 - Math.cos(angle));
    p[2] = middle + rise + above * Math.cos(here);
  };
}
