import { parseString } from 'fast-csv';

/** Separators that a spreadsheet may have written, the commonest first. */
const SEPARATORS = [',', ';', '\t'] as const;

export interface Table {
  readonly separator: string;
  /** Header first. Cells are trimmed. */
  readonly rows: readonly (readonly string[])[];
}

/**
 * Splits delimited text: a byte order mark is skipped, the separator is the one that the header line holds most often outside quotes.
 *
 * @throws {Error} in fast-csv's words where quotes do not match
 */
export async function readTable(content: string): Promise<Table> {
  const text = content.replace(/^\uFEFF/, '');
  const separator = separatorOf(text);
  const rows = await new Promise<string[][]>((resolve, reject) => {
    const found: string[][] = [];
    parseString<string[], string[]>(text, { headers: false, delimiter: separator, trim: true })
      .on('error', reject)
      .on('data', (row: string[]) => found.push(row))
      .on('end', () => resolve(found));
  });
  return { separator, rows };
}

function separatorOf(text: string): string {
  const header = (text.split(/\r\n|\n|\r/, 1)[0] as string).replace(/"(?:[^"]|"")*"/g, '');
  const count = (separator: string): number => header.split(separator).length;
  return SEPARATORS.reduce((best, next) => (count(next) > count(best) ? next : best));
}
