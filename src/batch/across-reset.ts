import type { ComparisonRecord } from '../records/comparison-record.ts';
import type { Subject } from '../records/subject.ts';
import { isoDate } from './iso-date.ts';

/** An event of the catalogue after which the heel is another: the joint was opened and the heel usually recut. */
const RESET = /\breset\b/i;
/** Standard uncertainties of the bend within which a heel counts as having kept its shape. */
const KEPT = 1.96;

export const RECUT =
  "the neck was reset between the two scans and the heel's shape differs: it was recut, so turn at the root and bend of the heel are not told apart";

/** Whether the neck was reset between two dates: by the event of the later of them, or of one between them. */
export function resetBetween(one: Subject, other: Subject, all: readonly Subject[]): boolean {
  const [from, to] = [dateOf(one), dateOf(other)].sort((a, b) => a - b);
  return all.some((s) => RESET.test(s.catalogue?.['event'] ?? '') && dateOf(s) > from && dateOf(s) <= to);
}

const dateOf = (subject: Pick<Subject, 'date'>): number => isoDate(subject.date ?? '') ?? Number.NaN;

/** The record of a pair across a reset: without root and bend of the heel, unless the heel kept its shape. */
export function acrossReset(record: ComparisonRecord): ComparisonRecord {
  if ('failed' in record) return record;
  const { heelRootRotation, heelBend, ...measures } = record.measures;
  if (heelBend === undefined || Math.abs(heelBend.value) <= KEPT * heelBend.u) return record;
  const { rootBendCorrelation: _, ...rest } = record;
  const absent = (['heelRootRotation', 'heelBend'] as const).map((measure) => ({ measure, reason: RECUT }));
  return { ...rest, measures, absent: [...record.absent, ...absent] };
}

/** Whether a record was told to lie across a reset. */
export const liesAcross = (record: ComparisonRecord): boolean =>
  !('failed' in record) && record.absent.some(({ reason }) => reason === RECUT);
