/** Something wrong in a catalogue or a pipeline file, with its place. */
export interface Problem {
  /** Path as the user gave it. */
  readonly file: string;
  /** Row of a catalogue as a spreadsheet counts it (the header is row 1), or a place in JSON. */
  readonly place?: string;
  /** What is wrong and what to do. */
  readonly message: string;
  /** A scan that cannot be opened stops no run: the others are measured, and its record says so. */
  readonly kind?: 'missing-scan';
}

export const problemLine = ({ file, place, message }: Problem): string => `${file}${place === undefined ? '' : `, ${place}`}: ${message}`;
