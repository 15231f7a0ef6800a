import { MEASURANDS, type MeasurandDefinition, type MeasureGroup } from '../measurands/measurands.ts';
import type { Quantity } from '../measures/result.ts';
import { isFailed, type MeasuredRecord, type ScanRecord } from '../records/record.ts';
import { printable } from './printable.ts';
import { roundQuantity } from './round-quantity.ts';
import { BASIS_WORDS, GROUP_TITLE, STATION_WORDS, UNIT_SIGN } from './trade-words.ts';
import { wrapped } from './wrapped.ts';

/** Columns: at 100 the longest line still fits a terminal. */
const TITLE_WIDTH = 28;
const VALUE_WIDTH = 12;
const PLUS_MINUS_WIDTH = 20;
const INDENT = '  ';

/** One scan as plain text for people: trade words, units, the 95 % interval, and why a measure is absent. */
export function recordTable(record: ScanRecord): string {
  const name = printable(record.scan);
  if (isFailed(record)) return `${name}\n${INDENT}failed (${record.failed.code}): ${printable(record.failed.message)}\n`;
  return [
    `${name}: ${record.class.value}, ${INTEGER.format(record.points)} points${triangles(record)}, unit ${record.unit.value} (${BASIS_WORDS[record.unit.basis]})`,
    ...station(record),
    ...GROUPS.flatMap((group) => groupLines(record, group)),
    ...record.warnings.flatMap((warning) => wrapped(`note: ${printable(warning)}`, INDENT)),
    '',
  ].join('\n');
}

const GROUPS: readonly MeasureGroup[] = ['board', 'neck', 'body', 'secondary'];
const INTEGER = new Intl.NumberFormat('en');

const triangles = (record: MeasuredRecord): string => (record.triangles > 0 ? `, ${INTEGER.format(record.triangles)} triangles` : '');

const station = (record: MeasuredRecord): readonly string[] =>
  record.station === undefined
    ? []
    : [`${INDENT}bridge station ${record.station.x.toFixed(1)} mm from the joint, ${STATION_WORDS[record.station.source]}`];

function groupLines(record: MeasuredRecord, group: MeasureGroup): readonly string[] {
  const absent = new Map(record.absent.map(({ measure, reason }) => [measure, reason]));
  const lines = MEASURANDS.filter((m) => m.group === group).flatMap((m) => {
    const quantity = record.measures[m.id];
    if (quantity !== undefined) return [quantityLine(m, quantity)];
    const reason = absent.get(m.id);
    // Of the further measures most instruments show few: only those that were found are listed.
    if (reason === undefined || group === 'secondary') return [];
    return wrapped(`absent: ${printable(reason)}`, ' '.repeat(INDENT.length + TITLE_WIDTH), INDENT + m.title.padEnd(TITLE_WIDTH));
  });
  return lines.length === 0 ? [] : ['', GROUP_TITLE[group], ...lines];
}

function quantityLine(m: MeasurandDefinition, q: Quantity): string {
  const { value, U95, below, above } = roundQuantity(q);
  const interval = below === undefined ? `± ${U95}` : `+${above} −${below}`;
  const sign = UNIT_SIGN[m.unit];
  const basis = q.basis === 'measured' ? '' : ` (${q.basis})`;
  return `${INDENT}${m.title.padEnd(TITLE_WIDTH)}${value.padStart(VALUE_WIDTH)} ${`${interval}${sign === '' ? '' : ` ${sign}`}`.padEnd(PLUS_MINUS_WIDTH)}${q.quality}${basis}`;
}
