import type { ComparisonResult } from '../change/change-result.ts';
import { CHANGES } from '../measurands/changes.ts';
import { MEASURANDS } from '../measurands/measurands.ts';
import type { FailedRecord, MeasuredRecord } from './record.ts';

/** A later scan held against a baseline: its own record, with the change measurands among its measures and what differs in the baseline's datums. */
export interface MeasuredComparison extends Omit<MeasuredRecord, 'measures' | 'absent'> {
  /** The first scan, as it was given. */
  readonly baseline: string;
  readonly measures: MeasuredRecord['measures'] & ComparisonResult['changes'];
  readonly absent: readonly { readonly measure: string; readonly reason: string }[];
  /** Later minus baseline in the baseline's datums and at its bridge station: not the subtraction of two records. */
  readonly differences: ComparisonResult['differences'];
  readonly registration: ComparisonResult['registration'];
  /** Correlation of the errors of heelRootRotation and heelBend. */
  readonly rootBendCorrelation?: number;
}

/** A pair that could not be compared. */
export interface FailedComparison extends FailedRecord {
  readonly baseline: string;
}

export type ComparisonRecord = MeasuredComparison | FailedComparison;

/** The record of a compared pair from that of its later scan, keys always in the same order. */
export function comparisonRecord(later: MeasuredRecord, baseline: string, result: ComparisonResult): MeasuredComparison {
  const { measures, absent, warnings, survey, dropped, settings, software, measuredAt, ...head } = later;
  const changes = Object.fromEntries(
    CHANGES.flatMap(({ id }) => {
      const change = result.changes[id];
      return change === undefined ? [] : [[id, change]];
    }),
  ) as ComparisonResult['changes'];
  return {
    ...head,
    baseline,
    measures: { ...measures, ...changes },
    differences: Object.fromEntries(
      MEASURANDS.flatMap(({ id }) => {
        const difference = result.differences[id];
        return difference === undefined ? [] : [[id, difference]];
      }),
    ),
    registration: result.registration,
    ...(result.rootBendCorrelation === undefined ? {} : { rootBendCorrelation: result.rootBendCorrelation }),
    absent: [...absent, ...result.absent],
    warnings: [...warnings, ...result.warnings],
    survey,
    dropped,
    settings,
    software,
    measuredAt,
  };
}
