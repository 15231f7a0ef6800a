import type { Forecast, TrendOrReason } from '../change/trend.ts';
import type { ComparisonRecord } from '../records/comparison-record.ts';
import type { FailedRecord, MeasuredRecord } from '../records/record.ts';
import type { RunFile } from '../records/run-file.ts';
import type { Ranges } from './survey-data.ts';

/** The scans of one instrument, held against the first that could be measured. */
export interface ComparedSeries {
  readonly instrument: string;
  /** Absent where no scan could be measured. */
  readonly baseline?: MeasuredRecord;
  /** By date. */
  readonly comparisons: readonly ComparisonRecord[];
  /** Scans that were to be the baseline and could not be measured. */
  readonly unusable: readonly FailedRecord[];
}

/** The trend of one quantity of a series. */
export interface TrackedQuantity {
  readonly id: string;
  readonly title: string;
  readonly unit: 'mm' | 'deg' | '1';
  readonly trend: TrendOrReason;
  /** Where a limit is stated on the side to which the trend leads. */
  readonly forecast?: { readonly limit: number; readonly reached: Forecast };
  /** Verdict of the one test that an instrument has, false alarms controlled over all of them; absent for all other quantities. */
  readonly real?: boolean;
}

export interface TrackedSeries extends ComparedSeries {
  readonly tracked: readonly TrackedQuantity[];
}

/** All that the pages of compared scans show. */
export interface ComparisonData<S extends ComparedSeries = ComparedSeries> {
  readonly title: string;
  readonly limits: Ranges;
  readonly intended: Ranges;
  readonly series: readonly S[];
  /** Instruments that have one scan only. */
  readonly single: readonly string[];
  readonly run: RunFile;
}
