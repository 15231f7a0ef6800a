import type { ChangeId } from '../measurands/changes.ts';
import type { MeasureId } from '../measurands/measurands.ts';
import type { OpenedScan } from '../measures/open-scan.ts';
import type { FollowedNeck } from './follow-neck.ts';
import type { CompareOptions } from './compare-scans.ts';
import type { PairModel, PairValues } from './pair-model.ts';
import type { PairNoise, PairSpread } from './pair-spreads.ts';
import type { PlacedBodies } from './place-bodies.ts';

/** Two scans that were registered, followed and repeated with their errors: all that changes and their uncertainty are made from. */
export interface ComparedPair {
  readonly placed: PlacedBodies;
  readonly found: FollowedNeck;
  readonly model: PairModel;
  readonly nominal: PairValues;
  readonly spreads: readonly PairSpread[];
  /** What either scan contradicts in itself. */
  readonly faults: readonly [baseline: ReadonlyMap<MeasureId, number>, later: ReadonlyMap<MeasureId, number>];
  readonly noise: PairNoise;
  readonly options: CompareOptions;
  readonly baseline: OpenedScan;
  readonly later: OpenedScan;
}

/** Changes that are one number. */
export type ScalarId = Exclude<ChangeId, 'neckShift'>;
