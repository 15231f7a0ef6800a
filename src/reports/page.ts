import { SOFTWARE } from '../records/software.ts';
import { type Html, type HtmlPart, html, Html as Raw } from './html.ts';
import { STYLE } from './style.ts';

export interface PageParts {
  readonly title: string;
  /** Above the title, e.g. the way back. */
  readonly above?: HtmlPart;
  readonly lead: HtmlPart;
  readonly body: HtmlPart;
}

/** A whole page that opens from disk: no network, no script. */
export const page = ({ title, above, lead, body }: PageParts): string =>
  html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; img-src data:">
<title>${title}</title>
<style>${new Raw(STYLE)}</style>
</head>
<body>
<header>
${above}
<h1>${title}</h1>
<p class="lead">${lead}</p>
</header>
<main>
${body}
</main>
<footer><p>Written by ${SOFTWARE.name} ${SOFTWARE.version}. Numbers are rounded to two significant digits of their uncertainty; the records hold them in full.</p></footer>
</body>
</html>
`.text;

/** A titled part of a page. */
export const section = (id: string, title: string, body: HtmlPart): Html => html`<section id="${id}" aria-labelledby="${id}-title">
<h2 id="${id}-title">${title}</h2>
${body}
</section>
`;
