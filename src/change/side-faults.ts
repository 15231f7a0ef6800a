import { MEASURANDS, type MeasureId } from '../measurands/measurands.ts';
import type { OpenedScan } from '../measures/open-scan.ts';
import type { BudgetEntry } from '../measures/result.ts';
import { spreadOf } from '../measures/uncertainty/repeat-measurement.ts';
import { splitHalf } from '../measures/uncertainty/split-half.ts';
import type { Random } from '../numerics/random.ts';
import type { PairSpread } from './pair-spreads.ts';

/**
 * What every other stretch of one scan of a pair contradicts, as for a single scan: something lies on the surface there, or the scan is disturbed, and its difference to another scan is no change of
 * the instrument.
 *
 * @returns standard uncertainty by measure, mm or degrees
 */
export function sideFaults(
  { gathered, parts, noise }: OpenedScan,
  side: PairSpread['side'],
  spreads: readonly PairSpread[],
  random: Random,
): ReadonlyMap<MeasureId, number> {
  const own = spreads.filter((s) => s.side === side);
  const budgets = MEASURANDS.map(({ id }): readonly [MeasureId, { readonly budget: readonly BudgetEntry[] }] => [
    id,
    {
      budget: own.flatMap(({ source, deviations }) => {
        const row = deviations.get(`difference.${id}`);
        return row === undefined ? [] : [{ source, u: spreadOf(row) }];
      }),
    },
  ]);
  return splitHalf(gathered.plan, parts, noise, Object.fromEntries(budgets.filter(([, { budget }]) => budget.length > 0)), random);
}
