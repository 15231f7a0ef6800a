/** What a point belongs to. */
export const LABELS = [
  'top',
  'edge',
  'rib',
  'back',
  'button',
  'neck',
  'heel',
  'board',
  'boardSide',
  'nut',
  'scroll',
  'fWall',
  'string',
  'bridge',
  'tailpiece',
  'saddle',
  'chinRest',
  'peg',
  'shoulderRest',
  'clutter',
  'inside',
  'outlier',
  'webbing',
  'backEdge',
  'rootEnd',
  'endPin',
] as const;
export type Label = (typeof LABELS)[number];
export const labelCode = (label: Label): number => LABELS.indexOf(label);

/** A piece of surface, walked as a grid of rows i and columns j; a grid cell is about one point spacing wide. */
export interface Patch {
  readonly label: Label;
  readonly rows: number;
  readonly columns: number;
  /** the last column joins the first */
  readonly ring?: 'columns';
  /** point at fractional (i, j) into out (body coordinates, mm); false where there is no surface */
  point(i: number, j: number, out: Float64Array): boolean;
  /** a finer label for a point that is there */
  name?(i: number, j: number): Label;
  /** places where a point may not be shaken off its grid node, for features between two columns */
  readonly still?: 'yes';
}

/** grid steps for a length at a spacing */
export const stepsFor = (length: number, spacing: number): number => Math.max(2, Math.ceil(length / spacing) + 1);
