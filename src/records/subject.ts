import type { CatalogueNotes, Settings } from './record.ts';

/** Which scan a record is about, and what was stated about it. */
export interface Subject {
  /** Path as it was given, or as the catalogue gives it. */
  readonly scan: string;
  readonly sha256?: string;
  readonly instrument?: string;
  readonly date?: string;
  readonly catalogue?: CatalogueNotes;
  readonly settings: Settings;
}

/** The head of a record, in the order in which records are written. */
export const subjectKeys = (subject: Subject) => ({
  record: 1 as const,
  scan: subject.scan,
  ...(subject.sha256 === undefined ? {} : { sha256: subject.sha256 }),
  ...(subject.instrument === undefined ? {} : { instrument: subject.instrument }),
  ...(subject.date === undefined ? {} : { date: subject.date }),
  ...(subject.catalogue === undefined || Object.keys(subject.catalogue).length === 0 ? {} : { catalogue: subject.catalogue }),
});
