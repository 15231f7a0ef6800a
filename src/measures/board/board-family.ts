import type { MeasureId } from '../../measurands/measurands.ts';
import type { Family, Gathered, Gathering } from '../family.ts';
import type { BoardPlan } from './board-plan.ts';
import { evaluateBoard } from './evaluate-board.ts';
import { gatherBoard } from './gather-board.ts';

/** What this family finds by itself; heights over the top, overstand and offset are made from its lines and the body. */
const BOARD_IDS: readonly MeasureId[] = [
  'neckAngle',
  'boardLength',
  'boardWidthNut',
  'boardWidthEnd',
  'boardRadiusNut',
  'boardRadiusEnd',
  'scoopBass',
  'scoopCentre',
  'scoopTreble',
  'boardTwist',
  'boardTilt',
  'boardYaw',
  'bedAngle',
  'boardWedge',
  'boardEdgeNut',
  'boardEdgeEnd',
  'boardFlareBass',
  'boardFlareTreble',
];

/** The board: playing surface, side faces, ends and the underside of its free part. */
export const boardFamily: Family = {
  name: 'board',
  ids: BOARD_IDS,
  gather(work) {
    const { plan, asWarped, ...gathered } = gatherBoard(work);
    const gathering = ({ plan: fitted, ...told }: Gathered & { readonly plan: BoardPlan | undefined }): Gathering => ({
      ...told,
      evaluate(samples, context) {
        if (fitted !== undefined) evaluateBoard(fitted, samples, context);
      },
    });
    return {
      ...gathering({ ...gathered, plan }),
      ...(asWarped === undefined ? {} : { asWarped: () => gathering({ ...gathered, ...asWarped() }) }),
    };
  },
};
