/** A spreadsheet takes text that begins so for a formula, and may run it. */
const FORMULA = /^[=+\-@\t\r]/;

/** Text from data for a CSV cell that a spreadsheet may open: what would be a formula is quoted by an apostrophe. */
export const csvText = (text: string): string => (FORMULA.test(text) ? `'${text}` : text);
