import { CHANGES } from '../measurands/changes.ts';
import { MEASURANDS, type MeasureId } from '../measurands/measurands.ts';
import type { MeasuredComparison } from '../records/comparison-record.ts';

/** Differences that a maker looks at first; others are shown where they are more than the scans can tell apart. */
export const FIRST_DIFFERENCES: readonly MeasureId[] = ['projection', 'neckAngle', 'overstand', 'boardOffset', 'scoopCentre', 'archHeight'];

/** One number of a compared pair as pages show it. */
export interface ChangedQuantity {
  readonly id: string;
  readonly title: string;
  readonly unit: 'mm' | 'deg' | '1';
  /** Absent with its reason otherwise. */
  readonly found:
    | {
        readonly value: number;
        readonly U95: number;
        readonly low?: number;
        readonly high?: number;
        readonly quality: 'good' | 'fair' | 'poor';
        readonly verdict: Verdict;
        readonly smallest?: number;
      }
    | { readonly reason: string };
}

/** Real in the pair as a whole, by its own test only, by the own test that is all it has, within what the scans can tell apart, judged with the row above, or not tested. */
export type Verdict = 'real' | 'alone' | 'uncounted' | 'no' | 'with the row above' | 'not tested';

/** What moved against the body, all changes in the order of tables; the shift by component. */
export const movedQuantities = (pair: MeasuredComparison): readonly ChangedQuantity[] =>
  CHANGES.flatMap(({ id, title, unit }): readonly ChangedQuantity[] => {
    if (id === 'neckShift') return shiftQuantities(pair, title);
    const change = pair.measures[id];
    if (change === undefined) return [{ id, title, unit, found: { reason: reasonOf(pair, id) } }];
    return [{ id, title, unit, found: { ...change, verdict: id === 'bodyResidual' ? 'not tested' : verdictOf(change) } }];
  });

/** Later minus baseline: those that a maker looks at first, and what else stands out. */
export const differingQuantities = (pair: MeasuredComparison): readonly ChangedQuantity[] =>
  MEASURANDS.flatMap(({ id, title, unit }): readonly ChangedQuantity[] => {
    const difference = pair.differences[id];
    const first = FIRST_DIFFERENCES.includes(id);
    if (difference === undefined) return first ? [{ id, title, unit, found: { reason: reasonOf(pair, id) } }] : [];
    return first || difference.significantAlone === true
      ? [{ id, title, unit, found: { ...difference, verdict: verdictOf(difference) } }]
      : [];
  });

function shiftQuantities(pair: MeasuredComparison, title: string): readonly ChangedQuantity[] {
  const shift = pair.measures.neckShift;
  if (shift === undefined) return [{ id: 'neckShift', title, unit: 'mm', found: { reason: reasonOf(pair, 'neckShift') } }];
  return ['along the body', 'to the treble side', 'upwards'].map((way, k) => {
    const smallest = shift.smallest?.[k];
    return {
      id: `neckShift-${'xyz'[k]}`,
      title: `${title}, ${way}`,
      unit: 'mm',
      found: {
        value: shift.value[k] as number,
        U95: shift.U95[k] as number,
        quality: shift.quality,
        // One test of all three together.
        verdict: k === 0 ? verdictOf(shift) : 'with the row above',
        ...(smallest === undefined ? {} : { smallest }),
      },
    };
  });
}

const verdictOf = (c: { readonly significant?: boolean; readonly significantAlone?: boolean }): Verdict =>
  c.significant === true ? 'real' : c.significantAlone !== true ? 'no' : c.significant === false ? 'alone' : 'uncounted';

const reasonOf = (pair: MeasuredComparison, id: string): string =>
  pair.absent.find(({ measure }) => measure === id)?.reason ?? 'the two scans do not both show it';
