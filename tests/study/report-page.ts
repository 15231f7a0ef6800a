import { type Html, html, Html as Raw } from '../../src/reports/html.ts';
import { STYLE } from '../../src/reports/style.ts';
import type { ReportTable } from './report-table.ts';

/** The tables as one page that opens from disk: no network, no script. */
export const reportPage = (title: string, lead: string, tables: readonly ReportTable[]): string =>
  html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>${title}</title>
<style>${new Raw(STYLE)}</style>
</head>
<body>
<header>
<h1>${title}</h1>
<p class="lead">${lead}</p>
</header>
<main>
${tables.map(tableHtml)}
</main>
</body>
</html>
`.text;

const tableHtml = ({ title, note, columns, rows }: ReportTable): Html => html`<h2>${title}</h2>
${note === undefined ? undefined : html`<p class="note">${note}</p>`}
<div class="wide"><table>
<thead><tr>${columns.map((c, i) => (i === 0 ? html`<th>${c}</th>` : html`<th class="number">${c}</th>`))}</tr></thead>
<tbody>
${rows.map(
  (row) => html`<tr>${row.map((c, i) => (i === 0 ? html`<th>${c}</th>` : html`<td class="number">${c}</td>`))}</tr>
`,
)}</tbody>
</table></div>
`;
