import { makeScan, type ScanOptions } from '../second-model/make-scan.ts';
import { scanBytes } from '../second-model/scan-files.ts';
import type { PlanEntry, StudyView } from './plan.ts';
import type { ModelledScan } from './study-truth.ts';

/** Usual body lengths over that of a violin: what a spacing is scaled by where it is not the model's own 0.5 mm. */
const USUAL_SIZE = { violin: 1, viola: 1.16, cello: 2.12, bass: 3.1 } as const;
const OWN_SPACING = 0.5;

const VIEW: Readonly<Record<StudyView, NonNullable<ScanOptions['view']>>> = {
  whole: 'whole',
  front: 'front',
  'no-back': 'noBack',
  'top-half': 'topHalf',
  'no-scroll': 'noScroll',
};

/** A scan of the second model. The same entry gives the same bytes. */
export function modelB(entry: PlanEntry): ModelledScan {
  const { conditions } = entry;
  const made = makeScan({
    seed: entry.draw,
    class: conditions.instrument,
    set: conditions.set,
    quality: conditions.fittings === 'bare' ? 'clean' : 'ordinary',
    fittings: conditions.fittings === 'bare' ? 'bare' : 'full',
    view: VIEW[conditions.view],
    sigma: conditions.sigma,
    amplitude: conditions.correlated.amplitude,
    length: conditions.correlated.length,
    kernel: conditions.correlated.kernel,
    form: entry.form,
    unit: entry.unit,
    ...(conditions.spacing === OWN_SPACING ? {} : { spacing: conditions.spacing * USUAL_SIZE[conditions.instrument] }),
  });
  return { bytes: scanBytes('ply', made.positions, made.triangles), truth: made.truth };
}
