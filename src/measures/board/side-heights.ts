import type { Samples } from '../../geometry/samples.ts';
import type { BoardLine } from '../family.ts';
import type { SideHeights } from './board-plan.ts';
import { LEAST_SAMPLES, misfitOfSide, STRAIGHT_COLUMNS } from './plan-side.ts';

/** A side face, and how far its upper arris dips below the plane by crown and scoop together, mm at x. */
export interface SeenSide {
  readonly samples: Samples | undefined;
  readonly dip: (x: number) => number;
  /** As far as it is straight, x in mm, or +∞. */
  readonly straightTo: number;
}

/** Where the board begins and ends, mm. */
export interface Stretch {
  readonly from: number;
  readonly to: number;
}

/** Usual height of a board's side face, mm × size^0.6: 5 on violins, 8 on cellos. Common practice, no source. */
const USUAL_HEIGHT = 5.2;
const HEIGHT_POWER = 0.6;

/**
 * Growths of a face's height along the board that are tried, 1/mm × size: none, and those of wedges 0.75 to 0.3 times as high at the nut as at the joint. One counts when it
 * fits both faces better by this many units of χ², scaled by the scatter that is there, and by this share of it: what long waves of a scanner and a face that is no ruled one
 * leave behind bends with neither.
 */
const GROWTHS = [0.002, 0.0035, 0.005];
const BETTER = 16;
const BETTER_SHARE = 0.3;

/** Heights over the plane itself: what a face is taken for before its lean is known. */
export const FLAT: SideHeights = { dip: () => 0, share: () => 1 };

/** Makes the heights of one side. */
type Law = (side: SeenSide) => SideHeights;

/**
 * How heights on the board's side faces are taken, as their lean tells it, the same way for both. Three faces have the same freedoms, and the best fit is taken: one that was
 * planed flat, one that leans alike all along from its hollowed upper arris, and one between that and a straight lower arris, which leans most where the hollow leaves it lowest.
 * A height that grows along the board has one more freedom and must earn it, since most boards are as high at the nut as beyond.
 *
 * @returns for each side in turn
 */
export function sideHeights(sides: readonly SeenSide[], plane: BoardLine, size: number, stretch: Stretch): readonly SideHeights[] {
  const misfit = (law: Law): number =>
    sides.reduce((sum, side) => sum + (isSeen(side) ? misfitOfSide(side.samples, plane, law(side), side.straightTo) : 0), 0);
  const lowest = (laws: readonly Law[]) =>
    laws.map((law) => ({ law, rss: misfit(law) })).reduce((best, one) => (one.rss < best.rss ? one : best));
  const height = USUAL_HEIGHT * size ** HEIGHT_POWER;
  const plain = lowest(lawsOf(0, height, stretch));
  const wedge = lowest(GROWTHS.flatMap((g) => lawsOf(g / size, height, stretch)));
  const freedoms = sides.reduce((n, side) => n + (isSeen(side) ? side.samples.count - STRAIGHT_COLUMNS : 0), 0);
  const isWedge = plain.rss - wedge.rss > Math.max(BETTER * Math.max(1, plain.rss / freedoms), BETTER_SHARE * plain.rss);
  return sides.map(isWedge ? wedge.law : plain.law);
}

const isSeen = (side: SeenSide): side is SeenSide & { readonly samples: Samples } =>
  side.samples !== undefined && side.samples.count >= LEAST_SAMPLES;

function lawsOf(growth: number, height: number, { from, to }: Stretch): Law[] {
  const grown = (x: number): number => 1 + growth * x;
  return [
    () => ({ ...FLAT, share: grown }),
    ({ dip }) => ({ dip, share: grown }),
    ({ dip }) => {
      const scoop = (x: number): number => dip(x) - dip(from) - ((dip(to) - dip(from)) * (x - from)) / (to - from);
      const atJoint = height - scoop(0);
      return { dip, share: (x) => grown(x) - (scoop(x) - scoop(0)) / atJoint };
    },
  ];
}
