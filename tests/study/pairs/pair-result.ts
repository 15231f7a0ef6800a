import type { Score } from '../study-result.ts';
import type { RegistrationError } from './registration-error.ts';

/** What a pair's own tests say of one change or difference. */
export interface PairTest {
  /** A change id, `neckShift` as one, or `d ` and a measurand. */
  readonly id: string;
  readonly significant?: boolean;
  readonly alone: boolean;
}

/** What is kept of one pair of the study: one line of the results file. */
export interface PairResult {
  readonly key: string;
  readonly group: string;
  readonly model: string;
  readonly instrument: number;
  readonly view: string;
  /** Warp of the neck that was drawn, mm. */
  readonly warp: number;
  /** Time on the processor for making and reading the later scan, opening it, and comparing, s. */
  readonly seconds: { readonly make: number; readonly open: number; readonly compare: number };
  /** The pair was refused, or a fault of the program showed (`fault`). */
  readonly failed?: { readonly code: string; readonly message: string };
  /** Changes under their ids (the shift as `neckShift.x` …), differences under `d ` and the measurand. */
  readonly scores: readonly Score[];
  readonly tests: readonly PairTest[];
  readonly registration?: RegistrationError;
  readonly stopped?: string;
  readonly warnings: readonly string[];
}
