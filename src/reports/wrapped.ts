/** Columns: the longest line that still fits a usual terminal. */
const LINE_WIDTH = 100;

/** Lines of at most 100 columns, broken between words; the first begins with `first`, the others with `indent`. */
export function wrapped(text: string, indent: string, first = indent): readonly string[] {
  const lines: string[] = [];
  let line = first;
  let empty = true;
  for (const word of text.split(' ')) {
    if (!empty && line.length + 1 + word.length > LINE_WIDTH) {
      lines.push(line);
      line = indent;
      empty = true;
    }
    line += empty ? word : ` ${word}`;
    empty = false;
  }
  return [...lines, line];
}
