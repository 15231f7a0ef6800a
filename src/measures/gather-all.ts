import type { MeasureId } from '../measurands/measurands.ts';
import { boardFamily } from './board/board-family.ts';
import type { EvaluationPlan } from './evaluate-all.ts';
import type { BoardLine, EvaluationContext, Gathering, PartSamples, Workpiece } from './family.ts';
import { deriveNeckLength, type StationRule } from './derive.ts';
import { neckFamily } from './neck/neck-family.ts';
import type { MeasureOptions } from './result.ts';
import { ribFamily } from './ribs/rib-family.ts';
import { stationFamily } from './station/station-family.ts';
import { topCentre } from './top/top-centre.ts';
import { topPatch } from './top/top-patch.ts';

export interface GatheredAll {
  readonly plan: EvaluationPlan;
  /** Samples of all families and of the top; the datums' own come beside. */
  readonly parts: PartSamples;
  readonly absent: ReadonlyMap<MeasureId, string>;
  readonly warnings: readonly string[];
  readonly blur: ReadonlyMap<MeasureId, number>;
  readonly coverage: Readonly<Record<string, number>>;
}

/** Usual neck ÷ stop (measurands.md): violin and viola 2:3, cello 7:10, bass 0.74, early sets 0.645. */
const STOP_RATIO = { violin: 2 / 3, viola: 2 / 3, cello: 0.7, bass: 0.74, early: 0.645 } as const;

/** Looks for all parts of a workpiece, and decides once which bridge station holds. */
export function gatherAll(work: Workpiece, options: MeasureOptions): GatheredAll {
  const board = boardFamily.gather(work);
  const station = stationFamily.gather(work);
  const context: EvaluationContext = {
    bodyLength: work.bodyLength,
    size: work.size,
    instrumentClass: work.instrumentClass,
    values: new Map(),
    shared: new Map(),
  };
  board.evaluate(board.samples, context);
  deriveNeckLength(context);
  const others = [neckFamily.gather({ ...work, ...boardLine(context) }), ribFamily.gather(work)];
  station.evaluate(station.samples, context);
  const rule = stationRule(work, options, context);
  const stop = stationX(rule, context);
  const end = context.shared.get('board.endX');
  const patch = (x: number | undefined) => (x === undefined ? undefined : topPatch(work.cloud, x, work.bodyLength, work.size, work.sigma));
  const topAtStation = patch(stop);
  const topAtEnd = patch(end);
  const centre = topCentre(work.cloud, work.bodyLength, work.size, work.sigma);
  const families: readonly Gathering[] = [board, station, ...others];
  const parts: PartSamples = Object.assign(
    {},
    ...families.map((f) => f.samples),
    topAtStation === undefined ? {} : { 'top.station': topAtStation.samples },
    topAtEnd === undefined ? {} : { 'top.end': topAtEnd.samples },
    centre === undefined ? {} : { 'top.centre': centre.samples },
  );
  return {
    plan: {
      bodyLength: work.bodyLength,
      size: work.size,
      instrumentClass: work.instrumentClass,
      board,
      station,
      others,
      rule,
      topAtStation,
      topAtEnd,
      topCentre: centre,
    },
    parts,
    absent: new Map([...topReasons(topAtStation, topAtEnd, centre), ...families.flatMap((f) => [...f.absent])]),
    warnings: families.flatMap((f) => f.warnings),
    blur: blurOfAll(rule, families),
    coverage: Object.assign({}, ...families.map((f) => f.coverage), { topCentre: centre?.coverage ?? 0 }),
  };
}

/** The same with the board's model for a neck that warped. */
export function asWarped(gathered: GatheredAll): GatheredAll {
  const { plan } = gathered;
  const board = plan.board.asWarped?.();
  return board === undefined
    ? gathered
    : { ...gathered, plan: { ...plan, board }, blur: blurOfAll(plan.rule, [board, plan.station, ...plan.others]) };
}

function boardLine({ shared }: EvaluationContext): { readonly boardLine?: BoardLine } {
  const z0 = shared.get('boardLine.z0');
  const slope = shared.get('boardLine.slope');
  return z0 === undefined || slope === undefined ? {} : { boardLine: { z0, slope } };
}

/** Two families may blur one measure: by independent causes. */
function blurOfAll(rule: StationRule, families: readonly Gathering[]): Map<MeasureId, number> {
  const blur = new Map<MeasureId, number>();
  for (const [id, u] of families.flatMap((f) => [...(f.blur ?? [])])) blur.set(id, Math.hypot(blur.get(id) ?? 0, u));
  // Where the bridge may miss the notches matters only where the bridge stands for them.
  if (rule.source !== 'bridge') blur.delete('stop');
  return blur;
}

function stationRule(work: Workpiece, options: MeasureOptions, context: EvaluationContext): StationRule {
  const ratio = options.earlySet === true ? STOP_RATIO.early : STOP_RATIO[work.instrumentClass];
  if (options.stop !== undefined) return { source: options.stopBasis ?? 'given', given: options.stop, ratio };
  if (context.shared.has('station.notches')) return { source: 'notches', given: undefined, ratio };
  if (context.shared.has('station.bridge')) return { source: 'bridge', given: undefined, ratio };
  return { source: 'assumed', given: undefined, ratio };
}

function stationX(rule: StationRule, context: EvaluationContext): number | undefined {
  if (rule.given !== undefined) return rule.given;
  const seen = rule.source === 'notches' ? context.shared.get('station.notches') : context.shared.get('station.bridge');
  const neck = context.values.get('neckLength');
  return seen ?? (neck === undefined ? undefined : neck / rule.ratio);
}

function topReasons(atStation: unknown, atEnd: unknown, centre: unknown): [MeasureId, string][] {
  const reasons: [MeasureId, string][] = [];
  if (atStation === undefined) reasons.push(['projection', 'the top is not seen on the centreline near the bridge']);
  if (atEnd === undefined) reasons.push(['boardEndHeight', "the top is not seen on the centreline near the board's end"]);
  if (centre === undefined) reasons.push(['archHeight', 'too little of the top is seen along the centreline']);
  return reasons;
}
