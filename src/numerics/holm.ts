/**
 * Holm's procedure: which hypotheses are rejected so that the chance of any false rejection stays below `alpha`, whatever depends on what.
 *
 * @param p  p-values, any order
 * @returns for each whether it is rejected
 * @see Holm, Scand. J. Statist. 6 (1979) 65
 */
export function holm(p: readonly number[], alpha: number): boolean[] {
  const order = p.map((_, i) => i).sort((i, j) => p[i] - p[j]);
  const rejected = p.map(() => false);
  for (let k = 0; k < order.length; k++) {
    if (!(p[order[k]] <= alpha / (p.length - k))) break;
    rejected[order[k]] = true;
  }
  return rejected;
}
