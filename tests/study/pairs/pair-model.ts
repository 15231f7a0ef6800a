import type { Motion } from '../../../src/geometry/motion.ts';
import type { FloorScan, FloorSite } from './pair-floor.ts';
import type { PairEntry, PairJob } from './pair-plan.ts';

/** What both models tell of a pair: mm and degrees. */
export interface PairTruth {
  readonly changes: Readonly<Record<string, number>>;
  readonly neckShift: readonly [number, number, number];
  readonly differences: Readonly<Record<string, number>>;
  /** Scan coordinates in mm to the baseline's true instrument frame, by the true registration. */
  readonly frame: Motion;
}

/** The first scan as the bytes of a PLY file, in its true place. */
export interface ModelledBaseline {
  readonly bytes: Uint8Array;
  readonly frame: Motion;
  readonly floor: FloorScan;
  readonly site: FloorSite;
  /** mm. */
  readonly bodyLength: number;
}

/** A later scan as the bytes of a PLY file, with its truth at a bridge station of the baseline, mm; at its notches without one. */
export interface ModelledLater {
  readonly bytes: Uint8Array;
  readonly floor: FloorScan;
  readonly truth: (station: number | undefined) => PairTruth;
}

/** A frame as its model gives it, from scan coordinates in their own unit, for scan coordinates in mm. */
export function frameInMm(rows: ArrayLike<number>): Motion {
  const scale = Math.hypot(rows[0], rows[1], rows[2]);
  return Float64Array.from({ length: 12 }, (_, k) => (k % 4 === 3 ? rows[k] : rows[k] / scale));
}

/** Scans of one instrument, made as they are asked for. */
export interface ModelledPairs {
  readonly baseline: () => ModelledBaseline;
  readonly later: (pair: PairEntry) => ModelledLater;
}

export type PairModel = (job: PairJob) => ModelledPairs;
