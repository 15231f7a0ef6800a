import type { MeasureId } from '../../measurands/measurands.ts';
import type { EvaluationContext, PartSamples, Workpiece } from '../family.ts';
import { type BoardPlan, PART } from './board-plan.ts';
import { evaluateBoard } from './evaluate-board.ts';
import type { FoundBoard } from './found-board.ts';

export interface Told {
  readonly absent: ReadonlyMap<MeasureId, string>;
  readonly warnings: readonly string[];
  readonly coverage: Readonly<Record<string, number>>;
}

/** Measures that need the board line, one of its ends, both side faces, the underside's rim. */
const LINE: readonly MeasureId[] = ['neckAngle', 'projection', 'boardEndHeight', 'scoopCentre', 'boardWedge'];
const BOTH_ENDS: readonly MeasureId[] = ['boardLength', 'boardTwist', 'scoopBass', 'scoopCentre', 'scoopTreble'];
const NUT_END: readonly MeasureId[] = ['boardWidthNut', 'boardRadiusNut', 'neckLength', 'stopRatio', 'stringLength'];
const BRIDGE_END: readonly MeasureId[] = [
  'boardWidthEnd',
  'boardRadiusEnd',
  'boardEndHeight',
  'boardEdgeEnd',
  'boardFlareBass',
  'boardFlareTreble',
];
const SIDES: readonly MeasureId[] = [
  'boardYaw',
  'boardOffset',
  'boardWidthNut',
  'boardWidthEnd',
  'boardRadiusNut',
  'boardRadiusEnd',
  'boardTwist',
  'scoopBass',
  'scoopTreble',
  'boardEdgeEnd',
];
const RIMS: readonly MeasureId[] = ['overstandBass', 'overstandTreble', 'overstand', 'boardTilt', 'bedAngle', 'boardWedge', 'boardEdgeEnd'];
const ALL: readonly MeasureId[] = [
  ...new Set<MeasureId>([...LINE, ...BOTH_ENDS, ...NUT_END, ...BRIDGE_END, ...SIDES, ...RIMS, 'boardEdgeNut']),
];
/** Stretch at either end, share of the board's length, over which its surface may be unseen: a model of low order bridges no more. */
const LONGEST_UNSEEN_END = 0.12;
/** Least share of the board's length along which its surface is seen. */
const LEAST_SEEN = 0.3;
/** A wedge below this, degrees, comes from a board thinned from below: a glued wedge is never negative. */
const THINNED = -0.05;

class Reasons {
  readonly absent = new Map<MeasureId, string>();

  /** The first reason found stands. */
  tell(ids: readonly MeasureId[], reason: string): void {
    for (const id of ids) if (!this.absent.has(id)) this.absent.set(id, reason);
  }
}

export function noBoard(): Told {
  const reasons = new Reasons();
  reasons.tell(ALL, 'no fingerboard is seen where the neck carries one');
  return { absent: reasons.absent, warnings: [], coverage: { board: 0 } };
}

/** What the scan shows of the board cannot support, in trade words, and what a maker should know of the board's shape. */
export function tellBoard(found: FoundBoard, work: Workpiece, plan: BoardPlan, samples: PartSamples): Told {
  const reasons = new Reasons();
  tellEnds(found, work, reasons);
  const seen = tellSurface(found, samples, reasons);
  for (const side of ['bass', 'treble'] as const) {
    if (found[side] === undefined) reasons.tell([...SIDES, ...RIMS], `the board's ${side} side is not seen`);
  }
  if (plan.rimBass === undefined)
    reasons.tell(
      RIMS.filter((id) => id !== 'overstandTreble'),
      rimReason('bass'),
    );
  if (plan.rimTreble === undefined)
    reasons.tell(
      RIMS.filter((id) => id !== 'overstandBass'),
      rimReason('treble'),
    );
  reasons.tell(['boardEdgeNut'], 'the neck hides the lower arris of the board at the nut');
  const warnings = tellShape(work, plan, samples, reasons);
  return { absent: reasons.absent, warnings, coverage: { board: seen } };
}

/** Where coarse facets melt the end face into strings and top, the line is measured to where the surface stops; a straightedge hardly turns by some millimetres of length. */
function tellEnds(found: FoundBoard, work: Workpiece, reasons: Reasons): void {
  if (found.nut === undefined) {
    const reason = found.extent.beyondNut === 'nothing' ? "the board's nut end is not in the scan" : "the nut's front edge is not seen";
    reasons.tell([...NUT_END, ...LINE, ...BOTH_ENDS], reason);
  }
  if (found.end === undefined)
    reasons.tell([...BRIDGE_END, ...(work.facets > 0 ? [] : LINE), ...BOTH_ENDS], "the board's end is not in the scan");
}

/** @returns the share of the board's length along which its surface is seen */
function tellSurface(found: FoundBoard, samples: PartSamples, reasons: Reasons): number {
  const { nutX, endX } = found.extent;
  const { xyz, count } = samples[PART.surface];
  const steps = 20;
  const seen = new Set<number>();
  let first = Number.POSITIVE_INFINITY;
  let last = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < count; i++) {
    const x = xyz[3 * i];
    first = Math.min(first, x);
    last = Math.max(last, x);
    seen.add(Math.floor(((x - nutX) / (endX - nutX)) * steps));
  }
  const unseen = LONGEST_UNSEEN_END * (endX - nutX);
  if (first - nutX > unseen)
    reasons.tell([...LINE, ...BOTH_ENDS, 'boardWidthNut', 'boardRadiusNut'], 'the playing surface is not seen near the nut');
  if (endX - last > unseen)
    reasons.tell([...LINE, ...BOTH_ENDS, 'boardWidthEnd', 'boardRadiusEnd'], "the playing surface is not seen near the board's end");
  const share = Math.min(1, seen.size / steps);
  if (share < LEAST_SEEN) reasons.tell([...LINE, ...BOTH_ENDS], 'too little of the playing surface is seen');
  return share;
}

const rimReason = (side: string): string =>
  `the underside rim of the free board is not seen on the ${side} side, so its lower arris is unknown`;

function tellShape(work: Workpiece, plan: BoardPlan, samples: PartSamples, reasons: Reasons): string[] {
  const warnings: string[] = [];
  const { values, shared } = tryOut(work, plan, samples);
  if (shared.get('board.rocks') === 1)
    warnings.push('the board is humped: a straightedge rocks on it, so the board line is the least-squares line');
  if (plan.surface.facet !== undefined) warnings.push("a flat facet under the lowest string was left out of the board's radius");
  for (const [side, id] of [
    ['bass', 'boardFlareBass'],
    ['treble', 'boardFlareTreble'],
  ] as const) {
    if (Number.isFinite(plan[side]?.straightTo ?? Number.POSITIVE_INFINITY)) {
      warnings.push(`the board is widened on the ${side} side further up: its centreline is that of its straight part`);
    } else reasons.tell([id], `the ${side} side of the board is straight`);
  }
  if ((values.get('boardWedge') ?? 0) < THINNED) {
    warnings.push('the board is thinned from below where it is free: its lower arris, produced, lies below the glue line');
    reasons.tell(['bedAngle', 'boardWedge'], 'the board is thinned from below, so its free arris is not the glue line');
  }
  return warnings;
}

/** The family's values in the working frame: near enough to tell a shape. */
function tryOut(work: Workpiece, plan: BoardPlan, samples: PartSamples): EvaluationContext {
  const { bodyLength, size, instrumentClass } = work;
  const context: EvaluationContext = { bodyLength, size, instrumentClass, values: new Map(), shared: new Map() };
  evaluateBoard(plan, samples, context);
  return context;
}
