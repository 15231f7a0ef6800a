import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { say } from './progress.ts';
import { reportPage } from './report-page.ts';
import { type ReportTable, tableMarkdown } from './report-table.ts';

/** Tables as `summary.md` (which also goes to standard output) and `index.html`. */
export function writeReport(out: string, title: string, lead: string, tables: readonly ReportTable[]): void {
  const markdown = [`## ${title}`, '', lead, '', ...tables.map(tableMarkdown)].join('\n');
  mkdirSync(out, { recursive: true });
  writeFileSync(join(out, 'summary.md'), markdown);
  writeFileSync(join(out, 'index.html'), reportPage(title, lead, tables));
  process.stdout.write(markdown);
  say(`written to ${join(out, 'summary.md')} and index.html`);
}
