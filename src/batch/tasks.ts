import type { Told } from '../records/failed-record.ts';
import type { MeasuredRecord } from '../records/record.ts';
import type { Compared, ComparedFile } from './comparing.ts';
import type { Measured, MeasureTask } from './measure-file.ts';

/** What a worker process can be asked for. */
export type WorkTask =
  | { readonly kind: 'measure'; readonly task: MeasureTask }
  /** The record of a baseline, which the worker keeps open. */
  | { readonly kind: 'baseline'; readonly baseline: ComparedFile }
  | { readonly kind: 'compare'; readonly baseline: ComparedFile; readonly later: ComparedFile };

/** What comes back for each. */
export interface WorkResult {
  readonly measure: Measured;
  readonly baseline: { readonly record: MeasuredRecord } | Told;
  readonly compare: Compared;
}
