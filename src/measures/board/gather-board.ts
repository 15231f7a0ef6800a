import type { MeasureId } from '../../measurands/measurands.ts';
import type { Gathered, Workpiece } from '../family.ts';
import type { Samples } from '../samples.ts';
import { type BoardPlan, PART, type SidePlan } from './board-plan.ts';
import { type BoardPoints, selectBoardPoints } from './board-points.ts';
import { cellSamples } from './cell-samples.ts';
import { chooseTerms, CORE_TERMS } from './choose-terms.ts';
import { type BoardEnd, findBoardEnd } from './end-face.ts';
import { findFacet, roundSamples } from './find-facet.ts';
import { findLowerRim, inwardOf, type LowerRim } from './lower-rim.ts';
import { findNutFront } from './nut-front.ts';
import type { Height, SurfacePlan } from './playing-surface.ts';
import { findRoughExtent, type RoughExtent } from './rough-extent.ts';
import { findRoughSurface, type RoughSurface, roughHeight } from './rough-surface.ts';
import { findSideFace, type SideFace } from './side-faces.ts';
import { findSurfaceMembers, type SurfaceBounds, type SurfaceMembers } from './surface-members.ts';
import { widenedFrom } from './widened-side.ts';
import { whatIsAbsent } from './what-is-absent.ts';

/** Cells of the samples, mm × size. */
const SURFACE_CELL = { along: 4, across: 2.5 } as const;
const SIDE_CELL = { along: 6, deep: 1.2 } as const;
const RIM_CELL = { along: 5, inward: 0.7 } as const;
/** Rounded arrises are left out of the playing surface: mm for a board 42 mm wide at its end (as for the radius). */
const ARRIS_MARGIN = 1.6;
/** Stretches at nut and end that are left out of the playing surface, mm × size: glue, the nut's foot, a rounded end. */
const NUT_MARGIN = 0.8;
const END_MARGIN = 1.2;
/** Half-width of the playing surface where no side face is seen, mm × size. */
const BLIND_HALF = 9;

/** Everything found on the board, before it becomes samples. */
export interface FoundBoard {
  readonly extent: RoughExtent;
  readonly bass: SideFace | undefined;
  readonly treble: SideFace | undefined;
  readonly surface: SurfaceMembers;
  readonly nut: Samples | undefined;
  readonly end: BoardEnd | undefined;
  readonly rimBass: LowerRim | undefined;
  readonly rimTreble: LowerRim | undefined;
}

export function gatherBoard(work: Workpiece): Gathered & { plan: BoardPlan | undefined } {
  const selected = selectBoardPoints(work);
  const rough = findRoughSurface(selected, work);
  const points = rough === undefined ? selected : outward(selected, work, rough);
  if (rough === undefined) return { plan: undefined, samples: {}, absent: whatIsAbsent(undefined, work, points, undefined).absent, warnings: [], coverage: { board: 0 } };
  const extent = findRoughExtent(points, work, rough);
  const start: Height = (x, y) => roughHeight(rough, x, y);
  const bass = findSideFace('bass', points, work, start, extent);
  const treble = findSideFace('treble', points, work, start, extent);
  const plan = planSurface(work, rough, extent, bass, treble);
  const bounds = surfaceBounds(work, plan, extent, bass, treble);
  const surface = findSurfaceMembers(points, work, plan, bounds, start);
  if (surface === undefined) return { plan: undefined, samples: {}, absent: whatIsAbsent(undefined, work, points, undefined).absent, warnings: [], coverage: { board: 0 } };
  const again = (side: 'bass' | 'treble', near: SideFace | undefined) => near && findSideFace(side, points, work, surface.height, extent, near);
  return finish(work, points, plan, bounds, { extent, bass: again('bass', bass), treble: again('treble', treble), surface });
}

/** Band about the rough surface in which the signs of normals are counted, mm × size. */
const SIGN_BAND = 0.4;

/** Points whose normals point out of the board: a mesh that is turned inside out is turned back. */
function outward(points: BoardPoints, work: Workpiece, rough: RoughSurface): BoardPoints {
  if (!work.cloud.oriented) return points;
  let balance = 0;
  for (let i = 0; i < points.count; i++) {
    if (Math.abs(points.y[i]) > BLIND_HALF * work.size || Math.abs(points.nz[i]) < 0.75) continue;
    if (Math.abs(points.z[i] - roughHeight(rough, points.x[i], points.y[i])) < SIGN_BAND * work.size) balance += Math.sign(points.nz[i]);
  }
  if (balance >= 0) return points;
  return { ...points, nx: points.nx.map((v) => -v), ny: points.ny.map((v) => -v), nz: points.nz.map((v) => -v) };
}

/** The plane, circle and centreline that the surface is described on. */
function planSurface(work: Workpiece, rough: RoughSurface, extent: RoughExtent, bass: SideFace | undefined, treble: SideFace | undefined): SurfacePlan {
  const { nutX, endX } = extent;
  const both = bass !== undefined && treble !== undefined;
  const centre0 = both ? (bass.y0 + treble.y0) / 2 : 0;
  const centreSlope = both ? (bass.slope + treble.slope) / 2 : 0;
  const crown = (x: number): number => roughHeight(rough, x, centre0 + centreSlope * x);
  const slope = (crown(endX) - crown(nutX)) / (endX - nutX);
  const curvature = 1 / rough.radius - 2 * rough.coefficients[7];
  return {
    z0: crown(nutX) - slope * nutX,
    slope,
    radius: 1 / curvature,
    centre0,
    centreSlope,
    midX: (nutX + endX) / 2,
    halfLength: (endX - nutX) / 2,
    halfWidth: both ? (treble.y0 - bass.y0 + (treble.slope - bass.slope) * endX) / 2 : BLIND_HALF * work.size,
    terms: CORE_TERMS,
  };
}

function surfaceBounds(work: Workpiece, plan: SurfacePlan, extent: RoughExtent, bass: SideFace | undefined, treble: SideFace | undefined): SurfaceBounds {
  const margin = (ARRIS_MARGIN * plan.halfWidth) / 21;
  return {
    fromX: extent.nutX + NUT_MARGIN * work.size,
    toX: extent.endX - END_MARGIN * work.size,
    half: bass !== undefined && treble !== undefined ? (x) => (treble.y0 - bass.y0 + (treble.slope - bass.slope) * x) / 2 - margin : () => BLIND_HALF * work.size,
  };
}

function finish(
  work: Workpiece,
  points: BoardPoints,
  plan: SurfacePlan,
  bounds: SurfaceBounds,
  parts: Pick<FoundBoard, 'extent' | 'bass' | 'treble' | 'surface'>,
): Gathered & { plan: BoardPlan } {
  const { extent, bass, treble, surface } = parts;
  const place = (x: number) => ({ x, centre: plan.centre0 + plan.centreSlope * x, half: bounds.half(x) });
  const nut = extent.beyondNut !== 'nothing' ? findNutFront(points, work, place(extent.nutX), surface.height) : undefined;
  const end = findBoardEnd(points, work, place(extent.endX), surface.height);
  const rim = (side: 'bass' | 'treble', face: SideFace | undefined): LowerRim | undefined =>
    face === undefined ? undefined : findLowerRim(side, points, work, face, plan, (x) => surface.height(x, face.y0 + face.slope * x), extent.endX);
  const found: FoundBoard = { ...parts, nut, end, rimBass: rim('bass', bass), rimTreble: rim('treble', treble) };
  const samples = makeSamples(work, points, plan, found);
  const facet = bass && treble && findFacet(plan, samples[PART.surface], halfWidths(bass, treble), work.size);
  const terms = chooseTerms(plan, facet === undefined ? samples[PART.surface] : roundSamples(plan, samples[PART.surface], facet));
  const told = whatIsAbsent(found, work, points, { ...plan, terms });
  return {
    samples,
    absent: told.absent,
    warnings: told.warnings,
    coverage: told.coverage,
    plan: {
      surface: { ...plan, terms, facet },
      nut: nut === undefined ? undefined : 'step',
      end: end?.kind,
      bass: sidePlan(work, plan, samples[PART.bass], extent),
      treble: sidePlan(work, plan, samples[PART.treble], extent),
      rimBass: found.rimBass !== undefined,
      rimTreble: found.rimTreble !== undefined,
      fromX: extent.nutX,
      toX: extent.endX,
      absent: new Set<MeasureId>(told.absent.keys()),
    },
  };
}

const halfWidths = (bass: SideFace, treble: SideFace) => ({ half0: (treble.y0 - bass.y0) / 2, halfSlope: (treble.slope - bass.slope) / 2 });

function sidePlan(work: Workpiece, plan: SurfacePlan, samples: Samples | undefined, extent: RoughExtent): SidePlan | undefined {
  return samples && { straightTo: widenedFrom(samples, plan, work.bodyLength, extent.endX) };
}

function makeSamples(work: Workpiece, points: BoardPoints, plan: SurfacePlan, found: FoundBoard): Record<string, Samples> {
  const samples: Record<string, Samples> = { [PART.surface]: surfaceSamples(work, points, plan, found.surface) };
  if (found.nut !== undefined) samples[PART.nut] = found.nut;
  if (found.end !== undefined) samples[PART.end] = found.end.samples;
  if (found.bass !== undefined) samples[PART.bass] = sideSamples('bass', work, points, plan, found.bass, found.surface.height);
  if (found.treble !== undefined) samples[PART.treble] = sideSamples('treble', work, points, plan, found.treble, found.surface.height);
  if (found.rimBass !== undefined && found.bass !== undefined) samples[PART.rimBass] = rimSamples('bass', work, points, plan, found.bass, found.rimBass);
  if (found.rimTreble !== undefined && found.treble !== undefined) {
    samples[PART.rimTreble] = rimSamples('treble', work, points, plan, found.treble, found.rimTreble);
  }
  return samples;
}

const cellSize = (work: Workpiece, wanted: number): number => Math.max(wanted * work.size, 1.2 * work.spacing);
const KEY = 65536;

function surfaceSamples(work: Workpiece, points: BoardPoints, plan: SurfacePlan, surface: SurfaceMembers): Samples {
  const along = cellSize(work, SURFACE_CELL.along);
  const across = cellSize(work, SURFACE_CELL.across);
  return cellSamples(surface.members, points, {
    key: (i) => Math.floor(points.x[i] / along) * KEY + Math.floor((points.y[i] - plan.centre0 - plan.centreSlope * points.x[i]) / across),
    axis: 2,
    model: surface.height,
    facing: 1,
    sigma: work.sigma,
    cellArea: along * across,
  });
}

function sideSamples(side: 'bass' | 'treble', work: Workpiece, points: BoardPoints, plan: SurfacePlan, face: SideFace, height: Height): Samples {
  const along = cellSize(work, SIDE_CELL.along);
  const deep = cellSize(work, SIDE_CELL.deep);
  const model = (x: number, z: number): number => {
    const onLine = face.y0 + face.slope * x;
    return onLine + face.lean * (height(x, onLine) - z);
  };
  return cellSamples(face.members, points, {
    key: (i) => Math.floor(points.x[i] / along) * KEY + Math.floor((points.z[i] - plan.z0 - plan.slope * points.x[i]) / deep),
    axis: 1,
    model,
    facing: side === 'bass' ? -1 : 1,
    sigma: work.sigma,
    cellArea: along * deep,
  });
}

function rimSamples(side: 'bass' | 'treble', work: Workpiece, points: BoardPoints, plan: SurfacePlan, face: SideFace, rim: LowerRim): Samples {
  const along = cellSize(work, RIM_CELL.along);
  const inward = cellSize(work, RIM_CELL.inward);
  return cellSamples(rim.members, points, {
    key: (i) => Math.floor(points.x[i] / along) * KEY + Math.floor(inwardOf(side, face, points.x[i], points.y[i]) / inward),
    axis: 2,
    model: (x, y) => plan.z0 + plan.slope * x + rim.a + rim.b * x + rim.c * inwardOf(side, face, x, y),
    facing: -1,
    sigma: work.sigma,
    cellArea: along * inward,
  });
}
