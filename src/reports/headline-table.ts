import { MEASURAND, type MeasureId } from '../measurands/measurands.ts';
import { isFailed, type ScanRecord } from '../records/record.ts';
import { printable } from './printable.ts';
import { roundQuantity } from './round-quantity.ts';
import { UNIT_SIGN } from './trade-words.ts';

/** The few that fit a terminal; the page has more. */
const COLUMNS: readonly MeasureId[] = ['neckAngle', 'projection', 'overstand', 'boardOffset'];
const SHORT_TITLE: Partial<Record<MeasureId, string>> = { boardOffset: 'Offset' };
const NAME_WIDTH = 32;
const COLUMN_WIDTH = 16;
/** Beside a value: nothing for good. */
const MARK = { good: ' ', fair: '~', poor: '!' } as const;

/** A short table of a survey, one line a scan; `~` marks a fair value, `!` a poor one. */
export function headlineTable(records: readonly ScanRecord[]): string {
  const header = COLUMNS.map((id) =>
    `${SHORT_TITLE[id] ?? MEASURAND.get(id)?.title ?? id}, ${UNIT_SIGN[MEASURAND.get(id)?.unit ?? 'mm']}`.padStart(COLUMN_WIDTH),
  );
  return [
    `${''.padEnd(NAME_WIDTH)}${header.join(' ')}`,
    ...records.map(line),
    '',
    '± half-width of the 95 % interval; ~ fair, ! poor; – absent',
    '',
  ].join('\n');
}

function line(record: ScanRecord): string {
  const name = cut(printable(record.catalogue?.label ?? record.instrument ?? record.scan)).padEnd(NAME_WIDTH);
  if (isFailed(record)) return `${name} failed: ${record.failed.code}`;
  return `${name}${COLUMNS.map((id) => cell(record.measures[id])).join(' ')}`.trimEnd();
}

function cell(q: (Parameters<typeof roundQuantity>[0] & { quality: keyof typeof MARK }) | undefined): string {
  if (q === undefined) return '– '.padStart(COLUMN_WIDTH);
  const { value, U95 } = roundQuantity(q);
  return `${value} ± ${U95}${MARK[q.quality]}`.padStart(COLUMN_WIDTH);
}

const cut = (name: string): string => (name.length < NAME_WIDTH ? name : `${name.slice(0, NAME_WIDTH - 2)}…`);
