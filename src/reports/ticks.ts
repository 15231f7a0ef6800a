/** Steps that people count in. */
const STEPS = [1, 2, 5, 10];

/** Round numbers from `low` to `high`, at most about `count` of them, with the decimals they need. */
export function ticks(low: number, high: number, count: number): { readonly values: readonly number[]; readonly decimals: number } {
  const rough = (high - low) / count;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = power * (STEPS.find((s) => s * power >= rough) as number);
  const values: number[] = [];
  for (let i = Math.ceil(low / step); i * step <= high; i++) values.push(i * step);
  return { values, decimals: Math.max(0, -Math.floor(Math.log10(step))) };
}
