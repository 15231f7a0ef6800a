import type { MeasureId } from '../measurands/measurands.ts';
import type { StoredFigures } from '../records/figures-file.ts';
import type { ScanRecord } from '../records/record.ts';
import type { RunFile } from '../records/run-file.ts';

export interface IntendedRange {
  readonly min?: number | undefined;
  readonly max?: number | undefined;
}

export type Ranges = Readonly<Partial<Record<MeasureId, IntendedRange | undefined>>>;

/** Scans of one instrument, the earliest first, and where its page is. */
export interface InstrumentScans {
  readonly instrument: string;
  /** File name of its page without extension: safe and unique. */
  readonly slug: string;
  readonly scans: readonly { readonly record: ScanRecord; readonly figures: StoredFigures | undefined }[];
}

/** All that the pages of a survey show. */
export interface SurveyData {
  readonly title: string;
  readonly groupBy: string | undefined;
  readonly limits: Ranges;
  readonly intended: Ranges;
  /** In the catalogue's order. */
  readonly records: readonly ScanRecord[];
  readonly instruments: readonly InstrumentScans[];
  readonly run: RunFile;
}
