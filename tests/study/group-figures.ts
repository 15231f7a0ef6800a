import { clopperPearson } from '../../src/numerics/clopper-pearson.ts';
import { MEASURANDS } from '../../src/measurands/measurands.ts';
import { median, quantile, rms } from '../../src/numerics/statistics.ts';
import { judgeScore } from './judge-score.ts';
import { type MeasurandFigures, measurandFigures } from './measurand-figures.ts';
import type { Score, StudyResult } from './study-result.ts';

/** What the study says of one group of scans of one model (or of both together). */
export interface GroupFigures {
  readonly scans: number;
  readonly failed: number;
  readonly mistaken: number;
  /** Records whose bridge station comes from another source than the scan shows. */
  readonly otherStation: number;
  /** Share of scans in which the instrument's frame was found, and how many found ones are wrong. */
  readonly frameFound: number;
  readonly frameWrong: number;
  /** Degrees and mm: median, 95th percentile, greatest. */
  readonly rotation: readonly [number, number, number];
  readonly origin: readonly [number, number, number];
  /** Over all headline values together, with a 99 % interval: values of one scan hang together, so it is a guide. */
  readonly coverage: number;
  readonly coverageLow: number;
  readonly coverageHigh: number;
  readonly pullRms: number;
  readonly values: number;
  /** Supported headline values, and of these: good, absent. */
  readonly supported: number;
  readonly good: number;
  readonly absent: number;
  /** Of all values given, secondary ones as well. */
  readonly wrong: number;
  readonly silent: number;
  readonly measurands: readonly MeasurandFigures[];
}

/**
 * A frame further off than this is that of another pose or another feature, not an inexact one: datums that are found lie within a
 * hundredth of these.
 */
const WRONG_ROTATION = 5;
/** mm × body length ÷ 355 mm. */
const WRONG_ORIGIN = 5;
const VIOLIN = 355;
const CLASS_CONFIDENCE = 0.99;
const SECONDARY: ReadonlySet<string> = new Set(MEASURANDS.filter((m) => m.group === 'secondary').map((m) => m.id));

/** The definitions' main measurands; secondary ones have figures of their own but do not count in a group's. */
export const isHeadline = (id: string): boolean => !SECONDARY.has(id);

export function groupFigures(results: readonly StudyResult[]): GroupFigures {
  const framed = results.filter((r) => r.frame !== undefined);
  const wrongFrame = framed.filter((r) => frameIsWrong(r));
  const headline = results.flatMap((r) => r.scores.filter((s) => isHeadline(s.id)));
  const judged = headline.map((s) => judgeScore(s)).filter((j) => j !== undefined);
  const inside = judged.filter((j) => j.inside).length;
  const interval = judged.length > 0 ? clopperPearson(inside, judged.length, CLASS_CONFIDENCE) : { low: Number.NaN, high: Number.NaN };
  const wrong = results.flatMap((r) => r.scores.map((s) => judgeScore(s))).filter((j) => j?.wrong === true);
  const supported = headline.filter((s) => s.supported === true);
  return {
    scans: results.length,
    failed: results.filter((r) => r.failed !== undefined).length,
    mistaken: results.filter((r) => r.mistaken.length > 0).length,
    otherStation: results.filter((r) => r.otherStation !== undefined).length,
    frameFound: (framed.length - wrongFrame.length) / results.length,
    frameWrong: wrongFrame.length,
    rotation: spread(framed.map((r) => r.frame?.rotation ?? Number.NaN)),
    origin: spread(framed.map((r) => r.frame?.origin ?? Number.NaN)),
    coverage: inside / judged.length,
    coverageLow: interval.low,
    coverageHigh: interval.high,
    pullRms: judged.length > 0 ? rms(judged.map((j) => j.pull)) : Number.NaN,
    values: judged.length,
    supported: supported.length,
    good: supported.filter((s) => s.given?.quality === 'good').length,
    absent: supported.filter((s) => s.given === undefined).length,
    wrong: wrong.length,
    silent: wrong.filter((j) => j?.silent === true).length,
    measurands: byMeasurand(results).map(([id, scores]) => measurandFigures(id, scores)),
  };
}

export function frameIsWrong(r: StudyResult): boolean {
  return r.frame !== undefined && (r.frame.rotation > WRONG_ROTATION || r.frame.origin > (WRONG_ORIGIN * r.bodyLength) / VIOLIN);
}

function byMeasurand(results: readonly StudyResult[]): (readonly [string, Score[]])[] {
  const lists = new Map<string, Score[]>(MEASURANDS.map((m) => [m.id, []]));
  for (const r of results) for (const s of r.scores) lists.get(s.id)?.push(s);
  return [...lists].filter(([, scores]) => scores.length > 0);
}

function spread(values: readonly number[]): readonly [number, number, number] {
  return values.length > 0 ? [median(values), quantile(values, 0.95), Math.max(...values)] : [Number.NaN, Number.NaN, Number.NaN];
}
