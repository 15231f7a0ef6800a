import type { PairEntry, PairJob } from './pair-plan.ts';

/** What both models tell of a pair: mm and degrees. */
export interface PairTruth {
  readonly changes: Readonly<Record<string, number>>;
  readonly neckShift: readonly [number, number, number];
  readonly differences: Readonly<Record<string, number>>;
}

/** A later scan as the bytes of a PLY file, with its truth at a bridge station of the baseline, mm; at its notches without one. */
export interface ModelledLater {
  readonly bytes: Uint8Array;
  readonly truth: (station: number | undefined) => PairTruth;
}

/** Scans of one instrument, made as they are asked for. */
export interface ModelledPairs {
  readonly baseline: () => Uint8Array;
  readonly later: (pair: PairEntry) => ModelledLater;
}

export type PairModel = (job: PairJob) => ModelledPairs;
