import type { MeasureId } from '../../measurands/measurands.ts';
import type { Workpiece } from '../family.ts';
import type { BoardPoints } from './board-points.ts';
import type { FoundBoard } from './gather-board.ts';
import type { SurfacePlan } from './playing-surface.ts';

export interface Told {
  readonly absent: ReadonlyMap<MeasureId, string>;
  readonly warnings: readonly string[];
  readonly coverage: Readonly<Record<string, number>>;
}

/** Measures that need the board line, one of its ends, both side faces, the underside's rim. */
const LINE: readonly MeasureId[] = ['neckAngle', 'projection', 'boardEndHeight', 'scoopCentre', 'boardWedge'];
const BOTH_ENDS: readonly MeasureId[] = ['boardLength', 'boardTwist', 'scoopBass', 'scoopCentre', 'scoopTreble'];
const NUT_END: readonly MeasureId[] = ['boardWidthNut', 'boardRadiusNut', 'neckLength', 'stopRatio', 'stringLength'];
const BRIDGE_END: readonly MeasureId[] = ['boardWidthEnd', 'boardRadiusEnd', 'boardEndHeight', 'boardEdgeEnd', 'boardFlareBass', 'boardFlareTreble'];
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
const ALL: readonly MeasureId[] = [...new Set([...LINE, ...BOTH_ENDS, ...NUT_END, ...BRIDGE_END, ...SIDES, ...RIMS])];

/** What the scan shows of the board cannot support these, in trade words; the first reason found stands. */
export function whatIsAbsent(found: FoundBoard | undefined, work: Workpiece, points: BoardPoints, plan: SurfacePlan | undefined): Told {
  const absent = new Map<MeasureId, string>();
  const tell = (ids: readonly MeasureId[], reason: string): void => {
    for (const id of ids) if (!absent.has(id)) absent.set(id, reason);
  };
  if (found === undefined || plan === undefined) {
    tell(ALL, points.count === 0 ? 'the board is not in the scan' : 'no fingerboard is seen where the neck should carry one');
    return { absent, warnings: [], coverage: { board: 0 } };
  }
  if (found.nut === undefined) tell([...NUT_END, ...LINE, ...BOTH_ENDS], nutReason(found));
  if (found.end === undefined) tell([...BRIDGE_END, ...LINE, ...BOTH_ENDS], "the board's end is not in the scan");
  for (const side of ['bass', 'treble'] as const) {
    if (found[side] === undefined) tell([...SIDES, ...RIMS], `the board's ${side} side is not seen`);
  }
  if (found.rimBass === undefined) tell(RIMS.filter((id) => id !== 'overstandTreble'), rimReason('bass'));
  if (found.rimTreble === undefined) tell(RIMS.filter((id) => id !== 'overstandBass'), rimReason('treble'));
  tell(['boardEdgeNut'], 'the neck hides the lower arris of the board at the nut');
  if (!Number.isFinite(found.bass?.straightTo ?? Number.POSITIVE_INFINITY)) tell(['boardFlareBass'], 'the bass side of the board is straight');
  if (!Number.isFinite(found.treble?.straightTo ?? Number.POSITIVE_INFINITY)) tell(['boardFlareTreble'], 'the treble side of the board is straight');
  return { absent, warnings: [], coverage: coverageOf(found, work, plan) };
}

const rimReason = (side: string): string => `the underside rim of the free board is not seen on the ${side} side, so its lower arris is unknown`;

function nutReason(found: FoundBoard): string {
  if (found.extent.beyondNut === 'nothing') return "the board's nut end is not in the scan";
  return "the nut's front edge is not seen";
}

function coverageOf(found: FoundBoard, work: Workpiece, plan: SurfacePlan): Record<string, number> {
  const share = found.surface.members.length > 0 ? Math.min(1, (found.surface.members.length * work.spacing ** 2) / (4 * plan.halfLength * plan.halfWidth * 0.75)) : 0;
  return { board: share };
}
