import { tailDoubt } from '../frame/tail-doubt.ts';
import type { MeasureId } from '../measurands/measurands.ts';
import { definitionU } from '../measures/definition-u.ts';
import type { ComparedPair, ScalarId } from './compared-pair.ts';
import { bentBoardU, modelChoiceU, warpInBoardU } from './model-choice.ts';
import { COVERAGE_FACTOR, totalU } from './scalar-change.ts';

/** Share of a feature's own bluntness that two scans of it do not have in common. */
const NOT_COMMON = 0.5;
/**
 * What a warp leaves open, standard, degrees or mm per mm of it on a violin. The throat passes its curve on to the heel in a way that the heel's own scan does not tell from a bend; the
 * neck's sections turn with its curve, which the fit leaves out; and the chord's turn goes into what moved the board line at the bridge. From pairs of both models with warps of 0.2 to 0.9 mm.
 */
const WARP_LEAVES: Partial<Record<ScalarId, number>> = {
  heelBend: 0.25,
  heelRootRotation: 0.15,
  neckPitch: 0.012,
  neckBend: 0.008,
  projectionByNeck: 0.05,
  projectionByBoard: 0.05,
};

/** u of a change that no repetition shows, mm or degrees. */
export function furtherOfChange(pair: ComparedPair, id: ScalarId, unit: string): number {
  const warp = shapeChange(pair, 'neckBend', unit);
  const board = id === 'projectionByBoard' ? Math.hypot(faultOf(pair, 'projection'), warpInBoardU('projection', warp)) : 0;
  return Math.hypot(board, (WARP_LEAVES[id] ?? 0) * warp);
}

/** The same of the neck's shift upwards, by the turn of its sections with a warp: mm per mm, standard, from pairs of both models. */
const WARP_LIFTS = 0.02;
export const furtherOfShift = (pair: ComparedPair, axis: string): number =>
  axis === 'z' ? WARP_LIFTS * shapeChange(pair, 'neckBend', 'mm') : 0;

/**
 * The same of a difference.
 *
 * @param unit  of the measure: lengths share the scanners' errors of scale
 */
export function furtherOfDifference(pair: ComparedPair, id: MeasureId, unit: string): number {
  const { baseline, later, options } = pair;
  const { size } = baseline.work;
  const spacing = Math.max(baseline.work.spacing, later.work.spacing, baseline.noise.facets, later.noise.facets);
  const [ub, ul] = options.scaleU ?? [0, 0];
  const scaleU = options.scanners === 'same' ? 0 : Math.hypot(ub, ul);
  const blur = Math.hypot(baseline.gathered.blur.get(id) ?? 0, later.gathered.blur.get(id) ?? 0);
  return Math.hypot(
    NOT_COMMON * definitionU(id, size, spacing),
    NOT_COMMON * blur,
    modelChoiceU(
      id,
      size,
      [baseline, later].map((o) => o.gathered.plan.board.section),
    ),
    unit === 'mm' ? Math.abs(baseline.nominal.values.get(id) ?? 0) * scaleU : 0,
    faultOf(pair, id),
    warpInBoardU(id, shapeChange(pair, 'neckBend', unit)),
    bentBoardU(id, shapeChange(pair, 'projectionByBoard', unit)),
    id === 'bodyLength' ? tailsOf(pair) : 0,
  );
}

/** Saddle, tailgut and chin rest of either scan hide another part of the edge at the tail; mm. */
const tailsOf = ({ baseline, later }: ComparedPair): number =>
  Math.hypot(...[baseline, later].map((o) => tailDoubt(o.datums.samples.besideSaddle, o.work.bodyLength)));

/** A change of shape beyond what the scans leave open of it, mm; for angles, which a larger instrument shows less of it, mm on a violin. */
function shapeChange(pair: ComparedPair, id: 'neckBend' | 'projectionByBoard', unit: string): number {
  const change = Math.max(0, Math.abs(pair.nominal.get(id) ?? 0) - COVERAGE_FACTOR * (totalU(pair, id) ?? 0));
  return unit === 'mm' ? change : change / pair.baseline.work.size;
}

const faultOf = ({ faults }: ComparedPair, id: MeasureId): number => Math.hypot(...faults.map((f) => f.get(id) ?? 0));
