import { median } from '../../src/numerics/statistics.ts';
import { processorMilliseconds } from './processor-milliseconds.ts';

/** A piece of work, done once for each call. */
export type Work = () => unknown | Promise<unknown>;

/**
 * Median time on the processor of each work, ms. They take turns, so that whatever else the machine does meets all of them alike; one turn beforehand is not counted.
 */
export async function inTurns(works: readonly Work[], turns: number): Promise<number[]> {
  const times: number[][] = works.map(() => []);
  for (let turn = -1; turn < turns; turn++) {
    for (const [i, work] of works.entries()) {
      const start = processorMilliseconds();
      await work();
      if (turn >= 0) times[i]?.push(processorMilliseconds() - start);
    }
  }
  return times.map((t) => median(t));
}
