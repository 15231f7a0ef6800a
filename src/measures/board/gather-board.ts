import type { MeasureId } from '../../measurands/measurands.ts';
import type { Gathered, PartSamples, Workpiece } from '../family.ts';
import type { Samples } from '../../geometry/samples.ts';
import { boardBlur } from './board-blur.ts';
import { type BoardPlan, PART } from './board-plan.ts';
import { type BoardPoints, selectBoardPoints } from './board-points.ts';
import { CORE_TERMS, chooseTerms, USUAL_DEGREE } from './choose-terms.ts';
import { findBoardEnd } from './end-face.ts';
import { findFacet, roundSamples } from './find-facet.ts';
import type { FoundBoard } from './found-board.ts';
import { findLowerEdge, type LowerEdge } from './lower-edge.ts';
import { findLowerRim, type LowerRim } from './lower-rim.ts';
import { localSpacing, spacingAtStep, spacingOf } from './local-spacing.ts';
import { makeSamples } from './make-samples.ts';
import { type EdgePlace, findNutFront, roughNutFront } from './nut-front.ts';
import { planSides } from './plan-sides.ts';
import { planSurface, surfaceBounds } from './plan-surface.ts';
import { fitSurfaceIfDetermined, type Height, type SurfacePlan, type SurfaceTerm } from './playing-surface.ts';
import { findRoughExtent, type RoughExtent } from './rough-extent.ts';
import { findRoughSurface, roughHeight } from './rough-surface.ts';
import { findSideFace, type SideFace, type SideName } from './side-faces.ts';
import { surfaceMisfit } from './surface-misfit.ts';
import { findSurfaceMembers } from './surface-members.ts';
import { noBoard, tellBoard } from './what-is-absent.ts';

/** How the samples of a board are fitted, and what that leaves open. */
export interface BoardModel extends Pick<Gathered, 'blur' | 'waves' | 'section'> {
  readonly plan: BoardPlan;
}

export interface GatheredBoard extends Gathered, Partial<BoardModel> {
  /** The same board as one that a warped neck took along. */
  readonly asWarped?: () => BoardModel;
}

/** Finds the board and its parts, makes their samples and decides how they are fitted; without a board everything is absent with its reason. */
export function gatherBoard(whole: Workpiece): GatheredBoard {
  const points = selectBoardPoints(whole);
  const work: Workpiece = { ...whole, spacing: localSpacing(points, whole) };
  const rough = findRoughSurface(points, work);
  if (rough === undefined) return withoutBoard();
  const extent = findRoughExtent(points, work, rough);
  const start: Height = (x, y) => roughHeight(rough, x, y) + extent.drift(x);
  const [firstBass, firstTreble] = apart(
    findSideFace('bass', points, work, start, extent),
    findSideFace('treble', points, work, start, extent),
    extent,
    work,
  );
  const surfacePlan = planSurface(work, rough, extent, firstBass, firstTreble);
  const bounds = surfaceBounds(work, surfacePlan, extent, firstBass, firstTreble);
  const surface = findSurfaceMembers(points, work, surfacePlan, bounds, start);
  if (surface === undefined) return withoutBoard();
  const { height } = surface;
  const place = (x: number): EdgePlace => ({ x, centre: surfacePlan.centre0 + surfacePlan.centreSlope * x, half: bounds.half(x) });
  const [bass, treble] = apart(
    firstBass && findSideFace('bass', points, work, height, extent, firstBass),
    firstTreble && findSideFace('treble', points, work, height, extent, firstTreble),
    extent,
    work,
  );
  const rimBass = rimBeside('bass', bass, points, work, surfacePlan, height, extent.endX);
  const rimTreble = rimBeside('treble', treble, points, work, surfacePlan, height, extent.endX);
  const found: FoundBoard = {
    extent,
    bass,
    treble,
    surface,
    nut: nutFront(points, work, place(extent.nutX), extent, surface.atEnds),
    end: findBoardEnd(points, work, place(extent.endX), surface.atEnds),
    rimBass,
    rimTreble,
    edgeBass: rimBass === undefined ? edgeOf('bass', bass, points, work, surfacePlan, height, extent.endX) : undefined,
    edgeTreble: rimTreble === undefined ? edgeOf('treble', treble, points, work, surfacePlan, height, extent.endX) : undefined,
  };
  const samples = makeSamples(work, points, surfacePlan, found);
  if (!isDetermined(surfacePlan, samples[PART.surface])) return withoutBoard();
  const plan = planBoard(work, surfacePlan, found, samples, found.surface.warped);
  const told = tellBoard(found, work, plan, samples);
  const absent = new Set<MeasureId>(told.absent.keys());
  const spacings = { coarser: coarsest(points, work, found) - whole.spacing, nutSpacing: spacingAtStep(points, work, extent.nutX) };
  const modelOf = (by: BoardPlan): BoardModel => {
    const degree = Math.max(...by.surface.terms.map((t) => t.along));
    return {
      plan: { ...by, absent },
      blur: boardBlur(found, work, { ...spacings, strays: surfaceMisfit(by.surface, samples[PART.surface], work.size) }),
      section: {
        degree: Math.max(...by.surface.terms.map((t) => t.across)),
        facet: by.surface.facet === undefined ? 'without' : 'with',
      },
      ...(degree > USUAL_DEGREE ? { waves: { [PART.surface]: degree } } : {}),
    };
  };
  return { ...told, samples, ...modelOf(plan), asWarped: () => modelOf(planBoard(work, surfacePlan, found, samples, true)) };
}

/** Least width of a board at its nut: 17 mm on a 1/16 violin, 22.5 on a violin, 30 on a cello (common practice, no source), less what noise and a rough nut take; mm × size^0.45. */
const LEAST_WIDTH = { mm: 19.5, grows: 0.45 };

type Faces = readonly [SideFace | undefined, SideFace | undefined];

/** Both side faces; none where they are nearer to each other than any board is wide: a string with its web was taken for one of them then. */
function apart(bass: SideFace | undefined, treble: SideFace | undefined, extent: RoughExtent, work: Workpiece): Faces {
  if (bass === undefined || treble === undefined) return [bass, treble];
  const width = treble.y0 - bass.y0 + (treble.slope - bass.slope) * extent.nutX;
  return width < LEAST_WIDTH.mm * work.size ** LEAST_WIDTH.grows ? [undefined, undefined] : [bass, treble];
}

const seenAs = (rim: LowerRim | undefined, edge: LowerEdge | undefined) =>
  rim !== undefined ? 'rim' : edge !== undefined ? 'edge' : undefined;

/** Whether the samples of the playing surface hold up the simplest surface that is fitted to a board. */
function isDetermined(plan: SurfacePlan, surface: Samples): boolean {
  return (
    fitSurfaceIfDetermined(
      { ...plan, terms: CORE_TERMS },
      surface.xyz,
      surface.u.map((u) => 1 / (u * u)),
    ) !== undefined
  );
}

const withoutBoard = () => ({ samples: {}, ...noBoard() });

function nutFront(points: BoardPoints, work: Workpiece, place: EdgePlace, extent: RoughExtent, height: Height): Samples | undefined {
  const fine = { ...work, spacing: spacingAtStep(points, work, place.x) };
  const front = findNutFront(points, fine, place, height) ?? findNutFront(points, work, place, height);
  return front ?? (extent.beyondNut === 'nothing' ? undefined : roughNutFront(work, place, extent.beyondNut, height));
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

function edgeOf(
  side: SideName,
  face: SideFace | undefined,
  points: BoardPoints,
  work: Workpiece,
  plan: SurfacePlan,
  height: Height,
  endX: number,
): LowerEdge | undefined {
  return face && findLowerEdge(side, points, work, face, plan, (x) => height(x, face.y0 + face.slope * x), endX);
}

/** Spacing on the playing surface or on the side faces, whichever is coarser: faces 4 mm high may hold a single row of facets. */
const coarsest = (points: BoardPoints, work: Workpiece, { bass, treble }: FoundBoard): number =>
  Math.max(work.spacing, ...[bass, treble].map((face) => (face === undefined ? 0 : spacingOf(points, face.members))));

/** Misfit of a usual model, mm × size, that tells a warped board: a scooped one's is a twentieth of it, a smear of wax or a scanner's long waves come to 0.1. */
const WARPED = 0.15;

function termsOf(surface: SurfacePlan, round: Samples, warped: boolean, size: number): readonly SurfaceTerm[] {
  const terms = chooseTerms(surface, round);
  const strays = warped || surfaceMisfit({ ...surface, terms }, round, size) > WARPED * size;
  return strays ? chooseTerms(surface, round, true) : terms;
}

/** The orders of all fits: decided here once, kept by every evaluation. */
function planBoard(work: Workpiece, surface: SurfacePlan, found: FoundBoard, samples: PartSamples, warped: boolean): BoardPlan {
  const { bass, treble, extent } = found;
  const all = samples[PART.surface];
  const half = bass && treble && { half0: (treble.y0 - bass.y0) / 2, halfSlope: (treble.slope - bass.slope) / 2 };
  const facet = half && findFacet(surface, all, half, work.size);
  const terms = termsOf(surface, facet === undefined ? all : roundSamples(surface, all, facet), warped, work.size);
  const planned = { ...surface, terms, facet };
  const [bassPlan, treblePlan] = planSides([bass, treble], [samples[PART.bass], samples[PART.treble]], planned, all, work, extent);
  return {
    surface: planned,
    nut: found.nut === undefined ? undefined : 'step',
    end: found.end?.kind,
    bass: bassPlan,
    treble: treblePlan,
    rimBass: seenAs(found.rimBass, found.edgeBass),
    rimTreble: seenAs(found.rimTreble, found.edgeTreble),
    fromX: extent.nutX,
    toX: extent.endX,
    absent: new Set(),
  };
}
