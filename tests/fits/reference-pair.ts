import { readFileSync } from 'node:fs';

/** Reads a NIST L2 reference pair `tests/data/reference/l2/<name>.{ds,fit}`: 3n coordinates and the numbers of the certified fit. */
export function referencePair(name: string): { readonly points: Float64Array; readonly fit: readonly number[] } {
  const numbers = (extension: string): number[] =>
    readFileSync(new URL(`../data/reference/l2/${name}.${extension}`, import.meta.url), 'utf8')
      .trim()
      .split(/\s+/)
      .map(Number);
  const [count, ...coordinates] = numbers('ds');
  if (coordinates.length !== 3 * count) throw new Error(`${name}.ds promises ${count} points and holds ${coordinates.length / 3}`);
  return { points: Float64Array.from(coordinates), fit: numbers('fit') };
}
