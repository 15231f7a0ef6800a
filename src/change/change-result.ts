import type { ChangeId } from '../measurands/changes.ts';
import type { MeasureId } from '../measurands/measurands.ts';
import type { Basis, Quality } from '../measures/result.ts';

/** Whether a change is more than two scans of an unchanged instrument may show. */
export interface Tested {
  /** By Holm's procedure at 95 % over the headline changes of the pair; absent for what is not among them. */
  readonly significant?: boolean;
  /** By its own test at 95 %. */
  readonly significantAlone: boolean;
}

/** What one source of error brings of a u. */
export interface Entry<U> {
  readonly source: string;
  readonly u: U;
  /** Its size is an assumption, neither seen in the scans nor stated. */
  readonly assumed?: true;
}

/** A change or a difference; mm or degrees. */
export interface Change {
  readonly value: number;
  readonly unit: 'mm' | 'deg' | '1';
  readonly u: number;
  readonly U95: number;
  readonly low?: number;
  readonly high?: number;
  readonly basis: Basis;
  readonly quality: Quality;
  readonly budget: readonly Entry<number>[];
  /** Standard uncertainty that the baseline alone brings, which all scans held against it share. */
  readonly uBaseline: number;
}

/** A change with three components along x, y, z. */
export interface VectorChange {
  readonly value: readonly number[];
  readonly unit: 'mm';
  readonly u: readonly number[];
  readonly U95: readonly number[];
  readonly basis: Basis;
  readonly quality: Quality;
  readonly budget: readonly Entry<readonly number[]>[];
  readonly uBaseline: readonly number[];
  /** 3 × 3 row-major. */
  readonly covariance: readonly number[];
}

export interface TestedChange extends Change, Partial<Tested> {
  /** Size at which its own test turns. */
  readonly decision?: number;
  /** True change that such a pair shows in 95 of 100 cases. */
  readonly smallest?: number;
}

export interface TestedVectorChange extends VectorChange, Partial<Tested> {
  readonly decision?: readonly number[];
  readonly smallest?: readonly number[];
}

export interface RegistrationResult {
  /** Later scan's instrument frame → baseline's, row-major 4 × 4. */
  readonly motion: readonly number[];
  /** 6 × 6 row-major: rotation vector (rad) about the middle of the body, and shift (mm). */
  readonly covariance: readonly number[];
  readonly rms: number;
  readonly overlap: number;
  readonly stopped: string;
  /** Relative difference of lengths along the grain, later to baseline; reported, never applied unasked. */
  readonly scale: { readonly value: number; readonly u: number };
  /** Long-wave error of the pair as the bodies' residuals show it, mm; absent where the single scans' prior had to do. */
  readonly longWave?: { readonly amplitude: number; readonly length: number };
}

export interface ComparisonResult {
  readonly changes: Readonly<Partial<Record<Exclude<ChangeId, 'neckShift'>, TestedChange>>> & { readonly neckShift?: TestedVectorChange };
  readonly differences: Readonly<Partial<Record<MeasureId, TestedChange>>>;
  readonly absent: readonly { readonly measure: ChangeId; readonly reason: string }[];
  /** Correlation of root and bend, where both are given. */
  readonly rootBendCorrelation?: number;
  readonly registration: RegistrationResult;
  readonly warnings: readonly string[];
}
