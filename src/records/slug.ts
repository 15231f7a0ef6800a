/** Names that Windows keeps for devices. */
const RESERVED = /^(?:con|prn|aux|nul|com\d|lpt\d)$/;
/** Characters: with a date and a counter behind it, a path stays far below any limit. */
const LONGEST = 60;

/** Safe file names, each given once: lower-case letters, digits and hyphens, whatever the text was. */
export class Slugs {
  private readonly taken = new Set<string>();

  /** A slug of `text` that this object has not given before. */
  unique(text: string): string {
    const base = slug(text);
    let name = base;
    for (let n = 2; this.taken.has(name); n++) name = `${base}-${n}`;
    this.taken.add(name);
    return name;
  }
}

function slug(text: string): string {
  const plain = text
    .normalize('NFKD')
    .replace(/\p{M}+/gu, '')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .slice(0, LONGEST)
    .replace(/^-+|-+$/g, '');
  if (plain === '') return 'instrument';
  return RESERVED.test(plain) ? `${plain}-` : plain;
}
