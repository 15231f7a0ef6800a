import { decimalsFor } from './round-quantity.ts';

/** A spreadsheet takes text that begins so for a formula, and may run it. */
const FORMULA = /^[=+\-@\t\r]/;

/** Text from data for a CSV cell that a spreadsheet may open: what would be a formula is quoted by an apostrophe. */
export const csvText = (text: string): string => (FORMULA.test(text) ? `'${text}` : text);

/** Digits of u: two more than people read, so that statistics over many rows lose nothing. */
const DIGITS_OF_U = 4;
/** Decimals beyond which a double holds nothing of a length or an angle. */
const MOST_DECIMALS = 12;

/** A number for a CSV cell, to a hundredth of what `u` shows. */
export function csvNumber(value: number, u: number): string {
  const decimals = Math.max(0, decimalsFor(u) + DIGITS_OF_U - 2);
  return String(Number(value.toFixed(Math.min(decimals, MOST_DECIMALS))));
}
