/** Elements that need no end tag. */
const VOID = new Set(['meta', 'br', 'img', 'link', 'input', 'hr']);

/** Where tags do not nest; undefined where all do. */
export function misnested(page: string): string | undefined {
  const open: string[] = [];
  for (const [tag, end, name, self] of page
    .replace(/<style>.*?<\/style>/s, '')
    .matchAll(/<(\/?)([a-zA-Z][a-zA-Z0-9]*)(?:"[^"]*"|[^">])*?(\/?)>/g)) {
    if (end === '/') {
      if (open.pop() !== name) return tag;
    } else if (self !== '/' && !VOID.has(name as string)) open.push(name as string);
  }
  return open.length === 0 ? undefined : open.join(' > ');
}
