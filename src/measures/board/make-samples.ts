import type { Workpiece } from '../family.ts';
import type { Samples } from '../../geometry/samples.ts';
import { PART } from './board-plan.ts';
import type { BoardPoints } from './board-points.ts';
import { cellSamples } from './cell-samples.ts';
import type { FoundBoard } from './found-board.ts';
import { inwardOf, type LowerRim } from './lower-rim.ts';
import type { Height, SurfacePlan } from './playing-surface.ts';
import type { SideFace } from './side-faces.ts';
import type { SurfaceMembers } from './surface-members.ts';

/** Cells of the samples, mm × size. */
const SURFACE_CELL = { along: 4, across: 2.5 } as const;
const SIDE_CELL = { along: 6, deep: 1.2 } as const;
const RIM_CELL = { along: 5, inward: 0.7 } as const;

/** Averages the points of each part of the board into samples. */
export function makeSamples(work: Workpiece, points: BoardPoints, plan: SurfacePlan, found: FoundBoard): Record<string, Samples> {
  const samples: Record<string, Samples> = { [PART.surface]: surfaceSamples(work, points, plan, found.surface) };
  if (found.nut !== undefined) samples[PART.nut] = found.nut;
  if (found.end !== undefined) samples[PART.end] = found.end.samples;
  if (found.bass !== undefined) samples[PART.bass] = sideSamples('bass', work, points, plan, found.bass, found.surface.height);
  if (found.treble !== undefined) samples[PART.treble] = sideSamples('treble', work, points, plan, found.treble, found.surface.height);
  if (found.rimBass !== undefined && found.bass !== undefined)
    samples[PART.rimBass] = rimSamples('bass', work, points, plan, found.bass, found.rimBass);
  else if (found.edgeBass !== undefined) samples[PART.rimBass] = found.edgeBass.samples;
  if (found.rimTreble !== undefined && found.treble !== undefined) {
    samples[PART.rimTreble] = rimSamples('treble', work, points, plan, found.treble, found.rimTreble);
  } else if (found.edgeTreble !== undefined) samples[PART.rimTreble] = found.edgeTreble.samples;
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

function sideSamples(
  side: 'bass' | 'treble',
  work: Workpiece,
  points: BoardPoints,
  plan: SurfacePlan,
  face: SideFace,
  height: Height,
): Samples {
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

function rimSamples(
  side: 'bass' | 'treble',
  work: Workpiece,
  points: BoardPoints,
  plan: SurfacePlan,
  face: SideFace,
  rim: LowerRim,
): Samples {
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
