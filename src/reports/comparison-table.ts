import { CHANGES, type ChangeId } from '../measurands/changes.ts';
import { MEASURAND, type MeasureId } from '../measurands/measurands.ts';
import type { ComparisonRecord, MeasuredComparison } from '../records/comparison-record.ts';
import { FIRST_DIFFERENCES } from './changed-quantities.ts';
import { printable } from './printable.ts';
import { decimalsFor, fixed } from './round-quantity.ts';
import { UNIT_SIGN } from './trade-words.ts';
import { wrapped } from './wrapped.ts';

const TITLE_WIDTH = 28;
const VALUE_WIDTH = 10;
const INTERVAL_WIDTH = 12;
const INDENT = '  ';
interface Row {
  readonly value: number;
  readonly U95: number;
  readonly unit: 'mm' | 'deg' | '1';
  readonly verdict: string;
}

/** One compared pair as plain text: what moved, by how much, whether that is more than two scans of an instrument at rest may show. */
export function comparisonTable(record: ComparisonRecord): string {
  const name = `${printable(record.scan)} against ${printable(record.baseline)}`;
  if ('failed' in record) return `${name}\n${INDENT}failed (${record.failed.code}): ${printable(record.failed.message)}\n`;
  const { registration } = record;
  return [
    `${name}: bodies ${registration.rms.toFixed(3)} mm RMS apart, ${Math.round(100 * registration.overlap)} % seen in both`,
    '',
    'What moved (against the body)',
    ...CHANGES.flatMap(({ id, title }) => changeLines(record, id, title)),
    '',
    "Differences, later minus baseline, in the baseline's datums and at its bridge station",
    ...differenceLines(record),
    '',
    ...record.warnings.flatMap((warning) => wrapped(`note: ${printable(warning)}`, INDENT)),
    ...wrapped('REAL: real in this pair as a whole (95 %); real: by its own test only; no: within what the scans can tell apart.', INDENT),
    '',
  ].join('\n');
}

function changeLines(record: MeasuredComparison, id: ChangeId, title: string): readonly string[] {
  if (id === 'neckShift') {
    const shift = record.measures.neckShift;
    if (shift !== undefined) {
      return ['along', 'to treble', 'up'].map((way, k) =>
        line(`${title}, ${way}`, { value: shift.value[k], U95: shift.U95[k], unit: 'mm', verdict: k === 0 ? verdict(shift) : '' }),
      );
    }
  } else {
    const change = record.measures[id];
    if (change !== undefined) return [line(title, { ...change, verdict: id === 'bodyResidual' ? '' : verdict(change) })];
  }
  const reason = record.absent.find(({ measure }) => measure === id)?.reason ?? 'not shown';
  return wrapped(`absent: ${printable(reason)}`, ' '.repeat(INDENT.length + TITLE_WIDTH), INDENT + title.padEnd(TITLE_WIDTH));
}

function differenceLines(record: MeasuredComparison): readonly string[] {
  return (Object.entries(record.differences) as [MeasureId, NonNullable<MeasuredComparison['differences'][MeasureId]>][])
    .filter(([id, d]) => FIRST_DIFFERENCES.includes(id) || d.significantAlone === true)
    .map(([id, d]) => line(MEASURAND.get(id)?.title ?? id, { ...d, verdict: verdict(d) }));
}

const verdict = (c: { readonly significant?: boolean; readonly significantAlone?: boolean }): string =>
  c.significant === true ? 'REAL' : c.significantAlone === true ? 'real' : 'no';

function line(title: string, row: Row): string {
  const decimals = decimalsFor(row.U95);
  const value = `${row.value > 0 ? '+' : ''}${fixed(row.value, decimals)}`;
  const sign = UNIT_SIGN[row.unit === '1' ? 1 : row.unit];
  return `${INDENT}${title.padEnd(TITLE_WIDTH)}${value.padStart(VALUE_WIDTH)} ${`± ${fixed(row.U95, decimals)} ${sign}`.padEnd(INTERVAL_WIDTH + 4)}${row.verdict}`.trimEnd();
}
