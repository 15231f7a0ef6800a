import type { InstrumentClass } from '../measures/family.ts';
import type { Quality } from '../measures/result.ts';
import { spreadOf } from '../measures/uncertainty/repeat-measurement.ts';
import type { Change, Entry } from './change-result.ts';
import type { ComparedPair } from './compared-pair.ts';
import type { PairSpread } from './pair-spreads.ts';

/** Half-width of the 95 % interval in u. */
export const COVERAGE_FACTOR = 1.96;
/** Half-widths up to which a change is good and fair, degrees or mm on a violin: what the smallest changes of practical use, a few tenths, need. */
const GOOD = 0.1;
const FAIR = 0.3;
const LENGTH_FACTOR: Readonly<Record<InstrumentClass, number>> = { violin: 1, viola: 1.15, cello: 2, bass: 3 };

/** Deviations of all sources, or undefined where a source could not form the value. */
function rowsOf(pair: ComparedPair, name: string): readonly { readonly spread: PairSpread; readonly row: Float64Array }[] | undefined {
  const rows = pair.spreads.flatMap((spread) => {
    const row = spread.deviations.get(name);
    return row === undefined ? [] : [{ spread, row }];
  });
  return rows.length === pair.spreads.length ? rows : undefined;
}

export function totalU(pair: ComparedPair, name: string): number | undefined {
  const rows = rowsOf(pair, name);
  return rows === undefined ? undefined : Math.hypot(...rows.map(({ row }) => spreadOf(row)));
}

/**
 * A change with its budget, side by side.
 *
 * @param further  u that belongs to neither scan's errors alone
 */
export function scalarChange(pair: ComparedPair, name: string, unit: Change['unit'], further: number): Change | undefined {
  const value = pair.nominal.get(name);
  const rows = rowsOf(pair, name);
  if (value === undefined || !Number.isFinite(value) || rows === undefined) return undefined;
  const budget = rows.map(({ spread: { source, side, assumed }, row }) => ({
    side,
    entry: { source: `${source}, ${side} scan`, u: spreadOf(row), ...(assumed === undefined ? {} : { assumed }) },
  }));
  const uBaseline = Math.hypot(...budget.filter((b) => b.side === 'baseline').map((b) => b.entry.u), further / Math.SQRT2);
  const all: Entry<number>[] = budget.map((b) => b.entry);
  if (further > 0) all.push({ source: 'feature definition', u: further });
  const u = Math.hypot(...all.map((b) => b.u));
  const U95 = COVERAGE_FACTOR * u;
  return { value, unit, u, U95, basis: 'measured', quality: qualityOf(U95, unit, pair), budget: all.filter((b) => b.u > 0), uBaseline };
}

export function qualityOf(halfWidth: number, unit: Change['unit'], pair: ComparedPair): Quality {
  const good = GOOD * (unit === 'mm' ? LENGTH_FACTOR[pair.baseline.work.instrumentClass] : 1);
  return halfWidth <= good ? 'good' : halfWidth <= FAIR * (good / GOOD) ? 'fair' : 'poor';
}

/** n × n row-major, from the deviations of all sources. */
export function covarianceOf(pair: ComparedPair, names: readonly string[]): number[] {
  const out = new Array<number>(names.length ** 2).fill(0);
  for (const { deviations } of pair.spreads) {
    const rows = names.map((name) => deviations.get(name));
    for (const [i, a] of rows.entries()) {
      for (const [j, b] of rows.entries()) {
        if (a === undefined || b === undefined || a.length !== b.length) continue;
        out[i * names.length + j] += a.reduce((s, v, k) => s + v * b[k], 0) / a.length;
      }
    }
  }
  return out;
}

export function correlation(pair: ComparedPair, a: string, b: string): number {
  const [aa, ab, , bb] = covarianceOf(pair, [a, b]);
  return ab / Math.sqrt(aa * bb);
}
