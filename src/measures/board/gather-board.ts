import type { MeasureId } from '../../measurands/measurands.ts';
import type { Gathered, PartSamples, Workpiece } from '../family.ts';
import type { Samples } from '../../geometry/samples.ts';
import { type BoardPlan, PART } from './board-plan.ts';
import { type BoardPoints, selectBoardPoints } from './board-points.ts';
import { chooseTerms } from './choose-terms.ts';
import { findBoardEnd } from './end-face.ts';
import { findFacet, roundSamples } from './find-facet.ts';
import type { FoundBoard } from './found-board.ts';
import { findLowerRim, type LowerRim } from './lower-rim.ts';
import { makeSamples } from './make-samples.ts';
import { type EdgePlace, findNutFront, roughNutFront } from './nut-front.ts';
import { planSide } from './plan-side.ts';
import { planSurface, surfaceBounds } from './plan-surface.ts';
import type { Height, SurfacePlan } from './playing-surface.ts';
import { findRoughExtent, type RoughExtent } from './rough-extent.ts';
import { findRoughSurface, roughHeight } from './rough-surface.ts';
import { findSideFace, type SideFace, type SideName } from './side-faces.ts';
import { findSurfaceMembers } from './surface-members.ts';
import { noBoard, tellBoard } from './what-is-absent.ts';

/** Finds the board and its parts, makes their samples and decides how they are fitted; without a board everything is absent with its reason. */
export function gatherBoard(work: Workpiece): Gathered & { plan: BoardPlan | undefined } {
  const points = selectBoardPoints(work);
  const rough = findRoughSurface(points, work);
  if (rough === undefined) return withoutBoard();
  const start: Height = (x, y) => roughHeight(rough, x, y);
  const extent = findRoughExtent(points, work, rough);
  const firstBass = findSideFace('bass', points, work, start, extent);
  const firstTreble = findSideFace('treble', points, work, start, extent);
  const surfacePlan = planSurface(work, rough, extent, firstBass, firstTreble);
  const bounds = surfaceBounds(work, surfacePlan, extent, firstBass, firstTreble);
  const surface = findSurfaceMembers(points, work, surfacePlan, bounds, start);
  if (surface === undefined) return withoutBoard();
  const { height } = surface;
  const place = (x: number): EdgePlace => ({ x, centre: surfacePlan.centre0 + surfacePlan.centreSlope * x, half: bounds.half(x) });
  const bass = firstBass && findSideFace('bass', points, work, height, extent, firstBass);
  const treble = firstTreble && findSideFace('treble', points, work, height, extent, firstTreble);
  const found: FoundBoard = {
    extent,
    bass,
    treble,
    surface,
    nut: nutFront(points, work, place(extent.nutX), extent, height),
    end: findBoardEnd(points, work, place(extent.endX), height),
    rimBass: rimBeside('bass', bass, points, work, surfacePlan, height, extent.endX),
    rimTreble: rimBeside('treble', treble, points, work, surfacePlan, height, extent.endX),
  };
  const samples = makeSamples(work, points, surfacePlan, found);
  const plan = planBoard(work, surfacePlan, found, samples);
  const told = tellBoard(found, work, plan, samples);
  return { ...told, samples, plan: { ...plan, absent: new Set<MeasureId>(told.absent.keys()) } };
}

const withoutBoard = () => ({ plan: undefined, samples: {}, ...noBoard() });

function nutFront(points: BoardPoints, work: Workpiece, place: EdgePlace, extent: RoughExtent, height: Height): Samples | undefined {
  if (extent.beyondNut === 'nothing') return undefined;
  const front = findNutFront(points, work, place, height);
  return front ?? roughNutFront(work, place, height);
}

function rimBeside(
  side: SideName,
  face: SideFace | undefined,
  points: BoardPoints,
  work: Workpiece,
  plan: SurfacePlan,
  height: Height,
  endX: number,
): LowerRim | undefined {
  return face && findLowerRim(side, points, work, face, plan, (x) => height(x, face.y0 + face.slope * x), endX);
}

/** The orders of all fits: decided here once, kept by every evaluation. */
function planBoard(work: Workpiece, surface: SurfacePlan, found: FoundBoard, samples: PartSamples): BoardPlan {
  const { bass, treble, extent } = found;
  const all = samples[PART.surface];
  const half = bass && treble && { half0: (treble.y0 - bass.y0) / 2, halfSlope: (treble.slope - bass.slope) / 2 };
  const facet = half && findFacet(surface, all, half, work.size);
  const terms = chooseTerms(surface, facet === undefined ? all : roundSamples(surface, all, facet));
  return {
    surface: { ...surface, terms, facet },
    nut: found.nut === undefined ? undefined : 'step',
    end: found.end?.kind,
    bass: bass && planSide(samples[PART.bass], surface, work.bodyLength, extent.endX),
    treble: treble && planSide(samples[PART.treble], surface, work.bodyLength, extent.endX),
    rimBass: found.rimBass !== undefined,
    rimTreble: found.rimTreble !== undefined,
    fromX: extent.nutX,
    toX: extent.endX,
    absent: new Set(),
  };
}
