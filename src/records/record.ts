import type { Unit } from '../geometry/scan.ts';
import type { MeasureId } from '../measurands/measurands.ts';
import type { InstrumentClass } from '../measures/family.ts';
import type { MeasureResult, Quantity, StationSource } from '../measures/result.ts';
import type { Software } from './software.ts';

/** What was stated about a scan from outside, in the words of the command line and the catalogue. Only what was stated is present. */
export interface Settings {
  readonly class?: InstrumentClass;
  readonly unit?: Unit;
  /** mm from the joint. */
  readonly stop?: number;
  /** mm. */
  readonly bridgeHeight?: number;
  readonly earlySet?: true;
  /** Relative, standard. */
  readonly scaleU?: number;
  /** mm, standard. */
  readonly noise?: number;
  /** mm RMS. */
  readonly longWave?: number;
  /** mm. */
  readonly longWaveLength?: number;
  /** Where class, unit and stop were stated. */
  readonly statedBy?: 'given' | 'catalogue';
}

/** The rest of a catalogue's row: what identifies the instrument to people. Unknown columns are kept as they came. */
export type CatalogueNotes = Readonly<Record<string, string>>;

interface RecordHead {
  /** Version of this layout. */
  readonly record: 1;
  /** Path as it was given, or as the catalogue gives it. */
  readonly scan: string;
  /** Of the file's bytes; absent where the file could not be read at all. */
  readonly sha256?: string;
  readonly instrument?: string;
  /** ISO 8601. */
  readonly date?: string;
  readonly catalogue?: CatalogueNotes;
}

interface RecordTail {
  readonly settings: Settings;
  readonly software: Software;
  /** ISO 8601, UTC: the only part that differs between two runs over the same input. */
  readonly measuredAt: string;
}

/** One measured scan. Lengths in mm, angles in degrees, as `unit` of each measure says; full double precision. */
export interface MeasuredRecord extends RecordHead, RecordTail {
  readonly format: string;
  /** As stored in the file. */
  readonly points: number;
  readonly triangles: number;
  readonly unit: MeasureResult['unit'];
  readonly class: MeasureResult['class'];
  readonly station?: { readonly x: number; readonly source: StationSource };
  readonly frame: readonly number[];
  readonly measures: Partial<Record<MeasureId, Quantity>>;
  readonly absent: MeasureResult['absent'];
  readonly warnings: readonly string[];
  readonly survey: MeasureResult['survey'];
  readonly dropped: Readonly<Record<string, number>>;
}

/** A scan that could not be measured. */
export interface FailedRecord extends RecordHead, RecordTail {
  readonly failed: { readonly code: string; readonly message: string };
}

export type ScanRecord = MeasuredRecord | FailedRecord;

export const isFailed = (record: ScanRecord): record is FailedRecord => 'failed' in record;
