import { clopperPearson } from '../../src/numerics/clopper-pearson.ts';
import { mean, quantile, rms } from '../../src/numerics/statistics.ts';
import { judgeScore } from './judge-score.ts';
import type { Score } from './study-result.ts';

/** What the study says of one measurand in one group of scans; mm or degrees. */
export interface MeasurandFigures {
  readonly id: string;
  /** Values given. */
  readonly n: number;
  readonly bias: number;
  readonly rms: number;
  /** 95th percentile of |error|, and the greatest. */
  readonly p95: number;
  readonly max: number;
  /** Share of 95 % intervals that hold the truth, with its 95 % Clopper–Pearson interval. */
  readonly coverage: number;
  readonly coverageLow: number;
  readonly coverageHigh: number;
  readonly meanU95: number;
  /** Mean U95 over the one width that would just hold 95 % of the errors. */
  readonly widthRatio: number;
  /** Factor by which all intervals would just hold 95 %: 1 where the promise is kept to the letter, more where it is broken. */
  readonly scaleTo95: number;
  readonly pullRms: number;
  /** RMS of the floor fit's 95th percentiles, where the model tells them. */
  readonly floor: number;
  readonly absentThoughSupported: number;
  readonly givenThoughUnsupported: number;
  readonly wrong: number;
  readonly silent: number;
  /** Supported by the scan, and of these called good. */
  readonly supported: number;
  readonly good: number;
}

const CONFIDENCE = 0.95;
const PROMISED = 0.95;

/**
 * @param scores  of one measurand, one a scan; figures that need values are NaN where none was given
 * @param judge  holds a value against its truth
 */
export function measurandFigures(id: string, scores: readonly Score[], judge = (s: Score) => judgeScore(s)): MeasurandFigures {
  const judged = scores.map(judge).filter((j) => j !== undefined);
  const n = judged.length;
  const sizes = judged.map((j) => Math.abs(j.error));
  const inside = judged.filter((j) => j.inside).length;
  const interval = n > 0 ? clopperPearson(inside, n, CONFIDENCE) : { low: Number.NaN, high: Number.NaN };
  const of = (values: readonly number[], figure: (v: readonly number[]) => number): number =>
    values.length > 0 ? figure(values) : Number.NaN;
  const p95 = of(sizes, (v) => quantile(v, PROMISED));
  const meanU95 = of(
    judged.map((j) => j.U95),
    mean,
  );
  const supported = scores.filter((s) => s.supported === true);
  return {
    id,
    n,
    bias: of(
      judged.map((j) => j.error),
      mean,
    ),
    rms: of(sizes, rms),
    p95,
    max: of(sizes, (v) => Math.max(...v)),
    coverage: inside / n,
    coverageLow: interval.low,
    coverageHigh: interval.high,
    meanU95,
    widthRatio: meanU95 / p95,
    scaleTo95: of(
      judged.map((j) => Math.abs(j.error) / j.U95),
      (v) => quantile(v, PROMISED),
    ),
    pullRms: of(
      judged.map((j) => j.pull),
      rms,
    ),
    floor: of(
      scores.map((s) => s.floor).filter((f) => f !== undefined),
      rms,
    ),
    absentThoughSupported: supported.filter((s) => s.given === undefined).length,
    givenThoughUnsupported: scores.filter((s) => s.supported === false && s.given !== undefined).length,
    wrong: judged.filter((j) => j.wrong).length,
    silent: judged.filter((j) => j.silent).length,
    supported: supported.length,
    good: supported.filter((s) => s.given?.quality === 'good').length,
  };
}
