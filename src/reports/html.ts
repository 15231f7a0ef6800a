import { escapeHtml } from './escape-html.ts';

/** A piece of HTML or SVG that is safe to put into a page as it stands. */
export class Html {
  readonly text: string;

  constructor(text: string) {
    this.text = text;
  }
}

export type HtmlPart = Html | string | number | undefined | readonly HtmlPart[];

/**
 * HTML from a template: whatever is put in is escaped, except what is `Html` already. The one way by which text from data comes
 * into a page, in element content and in quoted attributes.
 */
export const html = (strings: TemplateStringsArray, ...parts: readonly HtmlPart[]): Html =>
  new Html(strings.reduce((text, string, i) => text + partText(parts[i - 1]) + string));

function partText(part: HtmlPart): string {
  if (part === undefined) return '';
  if (part instanceof Html) return part.text;
  if (typeof part === 'string' || typeof part === 'number') return escapeHtml(String(part));
  return part.map(partText).join('');
}
