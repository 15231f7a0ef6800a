import type { MeasureId } from '../../measurands/measurands.ts';
import { averageCells } from '../average-cells.ts';
import type { EvaluationContext, Gathered, PartSamples, Workpiece } from '../family.ts';
import { SampleList, type Samples } from '../samples.ts';
import { evaluateHeel } from './evaluate-heel.ts';
import { evaluateThickness } from './evaluate-thickness.ts';
import { findButtonFace } from './find-button-face.ts';
import { findHeel } from './find-heel.ts';
import { findNeckLayers, type NeckLayer } from './find-neck-layers.ts';

/** What a family found in one scan, and how values follow from it. */
export interface GatheredNeck extends Gathered {
  /** Pure: samples (perturbed, in the exact instrument frame) → `context.values`. */
  evaluate(samples: PartSamples, context: EvaluationContext): void;
  /** Why `evaluate` gives no value although nothing here is absent: an input of another family is missing, or the station itself is not seen. */
  readonly without: ReadonlyMap<MeasureId, string>;
}

export const NECK_IDS = ['neckThicknessNut', 'neckThicknessHeel', 'heelHeight', 'heelLean', 'heelBow'] as const satisfies readonly MeasureId[];

/** mm × size. Edges of the cells that samples average: fine on the curved heel, coarse on the long faces. */
const HEEL_CELL = 1;
const FACE_CELL = 1.2;
const LONG_CELL = 2;

/** Names of the samples. */
const BOARD = 'neck.board';
const BACK = 'neck.back';
const BUTTON = 'neck.button';
const HEEL = 'neck.heel';

/** Finds both faces of the neck, the button and the heel, and reduces them to samples. */
export function gatherNeck(work: Workpiece): GatheredNeck {
  const samples: Record<string, Samples> = {};
  const absent = new Map<MeasureId, string>();
  const coverage: Record<string, number> = {};
  const layers = findNeckLayers(work);
  for (const [name, layer, outward] of [[BOARD, layers.board, 1], [BACK, layers.back, -1]] as const) {
    if (typeof layer === 'string') for (const id of ['neckThicknessNut', 'neckThicknessHeel'] as const) absent.set(id, layer);
    else {
      samples[name] = faceSamples(work, layer, outward, LONG_CELL);
      coverage[name] = layer.coverage;
    }
  }
  const button = findButtonFace(work);
  const heel = typeof button === 'string' ? button : findHeel(work, button);
  if (typeof button !== 'string') {
    samples[BUTTON] = faceSamples(work, button, -1, FACE_CELL);
    coverage[BUTTON] = button.coverage;
  }
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
    warnings: [],
    coverage,
    without: new Map<MeasureId, string>([
      ['neckThicknessNut', 'board or back of the neck not seen at 15 % of its length'],
      ['neckThicknessHeel', 'board or back of the neck not seen at 65 % of its length'],
      ['heelHeight', "the board's lower arrises or the middle of the heel are not seen"],
      ['heelLean', "the board's lower arrises or the middle of the heel are not seen"],
      ['heelBow', "the board's lower arrises or the middle of the heel are not seen"],
    ]),
    evaluate: (moved, context) => {
      if (moved[BOARD] !== undefined && moved[BACK] !== undefined) evaluateThickness(moved[BOARD], moved[BACK], context);
      if (moved[BUTTON] !== undefined && moved[HEEL] !== undefined) evaluateHeel(moved[BUTTON], moved[HEEL], end, context);
    },
  };
}

function faceSamples(work: Workpiece, face: Pick<NeckLayer, 'ids' | 'value' | 'gradient'>, outward: 1 | -1, cell: number): Samples {
  const list = new SampleList();
  averageCells(list, work.cloud, face.ids, { out: 2, a: 0, b: 1, outward, value: face.value, gradient: face.gradient }, cell * work.size, work.sigma);
  return list.samples();
}
