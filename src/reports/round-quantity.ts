import type { Quantity } from '../measures/result.ts';

/** A quantity as people read it: U95 to two significant digits, the value to the same place. */
export interface RoundedQuantity {
  readonly value: string;
  /** Half-width of the 95 % interval. */
  readonly U95: string;
  /** Distances from the value to the ends of its interval, where they differ; both without sign. */
  readonly below?: string;
  readonly above?: string;
}

const SIGNIFICANT = 2;
/** More decimals than this (mm or degrees) mean nothing in wood. */
const MOST_DECIMALS = 6;
const MINUS = '−';

export function roundQuantity(q: Pick<Quantity, 'value' | 'U95' | 'low' | 'high'>): RoundedQuantity {
  const decimals = decimalsFor(q.U95);
  const rounded = { value: fixed(q.value, decimals), U95: fixed(q.U95, decimals) };
  if (q.low === undefined || q.high === undefined) return rounded;
  const below = fixed(q.value - q.low, decimals);
  const above = fixed(q.high - q.value, decimals);
  return below === above ? rounded : { ...rounded, below, above };
}

/** Decimals that show `uncertainty` to two significant digits; negative for tens. */
export function decimalsFor(uncertainty: number): number {
  if (!(uncertainty > 0) || !Number.isFinite(uncertainty)) return MOST_DECIMALS / 2;
  const place = (x: number): number => SIGNIFICANT - 1 - Math.floor(Math.log10(x));
  const decimals = place(uncertainty);
  // 0.0996 rounds to 0.10, which is one place shorter.
  const again = place(Number(uncertainty.toPrecision(SIGNIFICANT)));
  return Math.min(MOST_DECIMALS, Math.min(decimals, again));
}

/** A number with a fixed count of decimals, a true minus sign, and never a negative zero. */
export function fixed(x: number, decimals: number): string {
  const step = 10 ** -decimals;
  const text = decimals >= 0 ? x.toFixed(decimals) : (Math.round(x / step) * step).toFixed(0);
  return Number(text) === 0 ? text.replace('-', '') : text.replace('-', MINUS);
}
