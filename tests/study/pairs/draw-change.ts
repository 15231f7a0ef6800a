import type { Random } from '../../../src/numerics/random.ts';

/** What is drawn of a pair: nothing, several of six changes, the board or the neck alone, or a sink of stated size. */
export type PairKind = 'none' | 'mixed' | 'board' | 'neck' | 'sink 0.10 mm' | 'sink 0.30 mm';

/** What happened to an instrument between two scans, in words of no model; degrees and mm, 0 for what did not happen. */
export interface PairChange {
  readonly root: number;
  readonly bend: number;
  readonly yaw: number;
  readonly roll: number;
  /** Of the whole neck besides, to the treble side and upwards. */
  readonly shift: readonly [number, number];
  readonly warp: number;
  readonly block: number;
  /** Change of the board line's height at the bridge station by planing, and by bending of the free board. */
  readonly planed: number;
  readonly bent: number;
  /** Rise of the arch in its middle. */
  readonly arch: number;
  /** Projection that is lost, and the share of it by the root; the model finds the angles. */
  readonly sink: { readonly projection: number; readonly byRoot: number };
}

const NOTHING: PairChange = {
  root: 0,
  bend: 0,
  yaw: 0,
  roll: 0,
  shift: [0, 0],
  warp: 0,
  block: 0,
  planed: 0,
  bent: 0,
  arch: 0,
  sink: { projection: 0, byRoot: 0 },
};

/** Sizes that are drawn, degrees and mm. */
const ANGLE = [0.05, 0.5] as const;
const LENGTH = [0.1, 1] as const;
const BOARD = [0.1, 0.5] as const;
const SIX = ['root', 'bend', 'warp', 'block', 'board', 'arch'] as const;
/** At least so many of the six happen together. */
const TOGETHER = 2;

export function drawChange(kind: PairKind, stream: Random): PairChange {
  const sized = ([from, to]: readonly [number, number]): number =>
    (stream.uniform() < 0.5 ? -1 : 1) * (from + (to - from) * stream.uniform());
  const board = (range: readonly [number, number]) =>
    stream.uniform() < 0.5 ? { planed: -Math.abs(sized(range)) } : { bent: sized(range) };
  switch (kind) {
    case 'none':
      return NOTHING;
    case 'board':
      return { ...NOTHING, ...board(BOARD) };
    case 'neck':
      return {
        ...NOTHING,
        root: sized(ANGLE),
        bend: sized(ANGLE),
        yaw: sized(ANGLE),
        roll: sized(ANGLE),
        shift: [sized(BOARD), sized(BOARD)],
      };
    case 'sink 0.10 mm':
      return { ...NOTHING, sink: { projection: 0.1, byRoot: stream.uniform() } };
    case 'sink 0.30 mm':
      return { ...NOTHING, sink: { projection: 0.3, byRoot: stream.uniform() } };
    case 'mixed': {
      let drawn = new Set<(typeof SIX)[number]>();
      while (drawn.size < TOGETHER) drawn = new Set(SIX.filter(() => stream.uniform() < 0.5));
      return {
        ...NOTHING,
        ...(drawn.has('root') ? { root: sized(ANGLE) } : {}),
        ...(drawn.has('bend') ? { bend: sized(ANGLE) } : {}),
        ...(drawn.has('warp') ? { warp: sized(LENGTH) } : {}),
        ...(drawn.has('block') ? { block: sized(ANGLE) } : {}),
        ...(drawn.has('board') ? board(LENGTH) : {}),
        ...(drawn.has('arch') ? { arch: sized(LENGTH) } : {}),
      };
    }
  }
}
