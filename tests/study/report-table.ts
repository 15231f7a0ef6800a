/** A table of a report; cells are text already. The first column is a heading, the others are numbers. */
export interface ReportTable {
  readonly title: string;
  readonly note?: string;
  readonly columns: readonly string[];
  readonly rows: readonly (readonly string[])[];
}

/** Enough digits to tell a thousandth of a millimetre or of a degree. */
export function figure(v: number): string {
  if (!Number.isFinite(v)) return '–';
  const size = Math.abs(v);
  return v.toFixed(size < 0.1 ? 4 : size < 10 ? 3 : 1);
}

export const percent = (share: number): string => (Number.isFinite(share) ? (100 * share).toFixed(1) : '–');
export const count = (n: number): string => (n === 0 ? '·' : String(n));
/** A figure that is held against a target, or one that is not. */
export const mark = (kept: boolean): string => (kept ? '✓' : '✗');

export function tableMarkdown(table: ReportTable): string {
  const cell = (text: string): string => text.replaceAll('|', '\\|').replace(/\s+/g, ' ');
  const line = (cells: readonly string[]): string => `| ${cells.map(cell).join(' | ')} |`;
  const rule = table.columns.map((_, i) => (i === 0 ? '---' : '---:'));
  const note = table.note === undefined ? [] : [table.note, ''];
  return [`### ${table.title}`, '', ...note, line(table.columns), line(rule), ...table.rows.map(line), ''].join('\n');
}
