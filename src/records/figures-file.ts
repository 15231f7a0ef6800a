import type { Figures } from '../measures/result.ts';

/** Figures are drawn, not measured: a hundredth of a millimetre is finer than any line. */
const DECIMALS = 2;

/** What pages draw of one scan, as it is stored; NaN (a gap in a line) becomes null. */
export interface StoredFigures {
  readonly figures: 1;
  readonly scan: string;
  readonly outline: readonly (number | null)[];
  readonly section: readonly (number | null)[];
  readonly topCentre: readonly (number | null)[];
  readonly boardLine?: { readonly z0: number; readonly slope: number; readonly from: number; readonly to: number };
  readonly boardRidge: readonly (number | null)[];
  readonly heelContour: readonly (number | null)[];
  readonly points: readonly (number | null)[];
}

export const storedFigures = (scan: string, figures: Figures): StoredFigures => ({
  figures: 1,
  scan,
  outline: rounded(figures.outline),
  section: rounded(figures.section),
  topCentre: rounded(figures.topCentre),
  ...(figures.boardLine === undefined ? {} : { boardLine: figures.boardLine }),
  boardRidge: rounded(figures.boardRidge),
  heelContour: rounded(figures.heelContour),
  points: rounded(figures.points),
});

const rounded = (values: readonly number[]): (number | null)[] =>
  Array.from(values, (v) => (Number.isFinite(v) ? Math.round(v * 10 ** DECIMALS) / 10 ** DECIMALS : null));
