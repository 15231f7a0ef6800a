import type { MeasureId } from '../../measurands/measurands.ts';
import { weightedMedian } from '../../numerics/statistics.ts';
import { averageCells } from '../average-cells.ts';
import { cropWork } from '../crop-work.ts';
import type { Family, Gathering, Workpiece } from '../family.ts';
import { SampleList, type Samples } from '../../geometry/samples.ts';
import { evaluateHeel } from './evaluate-heel.ts';
import { evaluateThickness } from './evaluate-thickness.ts';
import { findButtonFace } from './find-button-face.ts';
import { type ButtonRim, findButtonRim } from './find-button-rim.ts';
import { findHeel, type Heel } from './find-heel.ts';
import { findNeckLayers, type NeckLayer } from './find-neck-layers.ts';

export const neckFamily: Family = {
  name: 'neck',
  ids: ['neckThicknessNut', 'neckThicknessHeel', 'heelHeight', 'heelLean', 'heelBow'],
  gather: gatherNeck,
};

/** mm × size. Edges of the cells that samples average: fine on the curved heel, coarse on the long faces. */
const HEEL_CELL = 0.7;
const FACE_CELL = 1.2;
const LONG_CELL = 2;

/** mm × size. Stretch of the scan that the family looks at: half its width, towards the head, beyond the joint. */
const STRIP = 8;
const REACH = 150;
const BEYOND_JOINT = 12;

/**
 * What a coarse scan leaves open of the bow, of its spacing beyond a fine one (mm × size): too few rows of points show how the section across flattens, and
 * what is not told from curvature along comes into the bow. Trials at 1 and 2 mm on two model instruments: 0.02 and 0.08 mm.
 */
const BOW_BLUR = 0.045;
const FINE = 0.7;

/** Names of the samples. */
const BOARD = 'neck.board';
const BACK = 'neck.back';
const BUTTON = 'neck.button';
const HEEL = 'neck.heel';

/** Finds both faces of the neck, the button and the heel, and reduces them to samples. */
function gatherNeck(whole: Workpiece): Gathering {
  const work = nearNeck(whole);
  const samples: Record<string, Samples> = {};
  const absent = new Map<MeasureId, string>();
  const coverage: Record<string, number> = {};
  const layers = findNeckLayers(work);
  for (const [name, layer, outward] of [
    [BACK, layers.back, -1],
    [BOARD, layers.board, 1],
  ] as const) {
    if (typeof layer === 'string') for (const id of ['neckThicknessNut', 'neckThicknessHeel'] as const) absent.set(id, layer);
    else {
      samples[name] = faceSamples(work, layer, outward, LONG_CELL);
      coverage[name] = layer.coverage;
    }
  }
  const face = findButtonFace(work);
  const button = typeof face === 'string' ? (findButtonRim(whole) ?? face) : face;
  const heel = typeof button === 'string' ? button : findHeel(work, button);
  if (typeof face !== 'string') {
    samples[BUTTON] = faceSamples(work, face, -1, FACE_CELL);
    coverage[BUTTON] = face.coverage;
  } else if (typeof button !== 'string') samples[BUTTON] = rimSample(button as ButtonRim);
  if (typeof heel === 'string') for (const id of ['heelHeight', 'heelLean', 'heelBow'] as const) absent.set(id, heel);
  else {
    const list = new SampleList();
    const surface = { out: 0, a: 2, b: 1, outward: -1, value: heel.value, gradient: heel.gradient } as const;
    averageCells(list, work.cloud, heel.ids, surface, HEEL_CELL * work.size, work.sigma);
    samples[HEEL] = list.samples();
    coverage[HEEL] = heel.coverage;
  }
  const end = typeof button === 'string' ? 0 : button.end;
  return {
    samples,
    absent,
    warnings: typeof face === 'string' && typeof button !== 'string' ? [ONLY_RIM] : [],
    coverage,
    blur: new Map([['heelBow', BOW_BLUR * Math.max(0, heelSpacing(work, heel) - FINE * work.size)]]),
    evaluate: (moved, context) => {
      if (moved[BOARD] !== undefined && moved[BACK] !== undefined) evaluateThickness(moved[BOARD], moved[BACK], context);
      if (moved[BUTTON] !== undefined && moved[HEEL] !== undefined) evaluateHeel(moved[BUTTON], moved[HEEL], end, context);
    },
  };
}

/** Side of the patch that a point of the heel stands for, mm, half of the surface by half: a thinned mesh may be coarser there than elsewhere. */
function heelSpacing(work: Workpiece, heel: Heel | string): number {
  if (typeof heel === 'string' || heel.ids.length === 0) return work.spacing;
  const areas = Float64Array.from(heel.ids, (i) => work.cloud.areas[i]);
  return Math.max(work.spacing, Math.sqrt(weightedMedian(areas, areas)));
}

const ONLY_RIM = "the button's outer face is not seen: the heel's height is taken from the lower end of its contour, at the button's rim";

function rimSample({ end, low, u }: ButtonRim): Samples {
  const list = new SampleList();
  list.add(end, 0, low, 0, 0, -1, u, 1);
  return list.samples();
}

/** Only what lies near the centreline from the head to a little beyond the joint. */
function nearNeck(work: Workpiece): Workpiece {
  const { size, spacing } = work;
  const y = Math.max(STRIP * size, 3 * spacing);
  return cropWork(work, { x: [-REACH * size, BEYOND_JOINT * size], y: [-y, y], z: [-Infinity, Infinity] });
}

function faceSamples(work: Workpiece, face: Pick<NeckLayer, 'ids' | 'value' | 'gradient'>, outward: 1 | -1, cell: number): Samples {
  const list = new SampleList();
  averageCells(
    list,
    work.cloud,
    face.ids,
    { out: 2, a: 0, b: 1, outward, value: face.value, gradient: face.gradient },
    cell * work.size,
    work.sigma,
  );
  return list.samples();
}
