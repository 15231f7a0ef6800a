import type { ComparisonRecord } from '../records/comparison-record.ts';
import type { ScanRecord } from '../records/record.ts';
import type { WorkerOptions } from './worker-pool.ts';

export interface RunOptions {
  /** The report folder. */
  readonly out: string;
  readonly jobs: number;
  readonly worker: WorkerOptions;
  readonly signal: AbortSignal;
  readonly now: () => Date;
  /** Called as each scan is done, and for each that was done before. */
  readonly onScan: (progress: ScanProgress) => void;
}

export interface ScanProgress {
  readonly done: number;
  readonly asked: number;
  readonly measured: { readonly record: ScanRecord | ComparisonRecord; readonly stack?: string };
  readonly reused: boolean;
}
