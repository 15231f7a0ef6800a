/**
 * Benjamini and Hochberg's procedure: rejections among which the expected share of false ones stays below `rate`, for independent tests.
 *
 * @param p  p-values, any order
 * @returns for each whether it is rejected
 * @see Benjamini & Hochberg, J. R. Statist. Soc. B 57 (1995) 289
 */
export function benjaminiHochberg(p: readonly number[], rate: number): boolean[] {
  const order = p.map((_, i) => i).sort((i, j) => p[i] - p[j]);
  let last = -1;
  for (let k = 0; k < order.length; k++) if (p[order[k]] <= ((k + 1) * rate) / p.length) last = k;
  const rejected = p.map(() => false);
  for (let k = 0; k <= last; k++) rejected[order[k]] = true;
  return rejected;
}
