import { tailDoubt } from '../frame/tail-doubt.ts';
import { InputError } from '../geometry/input-error.ts';
import type { Motion } from '../geometry/motion.ts';
import { MM_PER, type Scan } from '../geometry/scan.ts';
import { random } from '../numerics/random.ts';
import { absences } from './absences.ts';
import { beyondFacets, facetDoubt } from './beyond-facets.ts';
import { figuresOf } from './figures-of.ts';
import { MEASURE_KEY, type OpenedScan, openScan, seenNoise } from './open-scan.ts';
import { quantities, type QuantityInputs } from './quantities.ts';
import type { MeasureOptions, MeasureResult } from './result.ts';
import { repeatMeasurement } from './uncertainty/repeat-measurement.ts';
import { halvesWarnings } from './halves-warnings.ts';
import { splitHalf } from './uncertainty/split-half.ts';
import { sharedByNeighbours } from './uncertainty/shared-by-neighbours.ts';

/**
 * Measures one scan: finds the instrument, its unit and class, the datums, the parts; evaluates; repeats with simulated errors.
 *
 * @throws {InputError} when there is no instrument to be measured in the scan, or its unit cannot be told
 */
export const measureScan = (scan: Scan, options: MeasureOptions): MeasureResult => measureOpened(openScan(scan, options), options);

/** Values with their uncertainty from a scan in which the parts are found. */
export function measureOpened(opened: OpenedScan, options: MeasureOptions): MeasureResult {
  const { scan, work, datums, gathered, parts, nominal, noise } = opened;
  const { facets } = noise;
  const stream = random(MEASURE_KEY);
  const inputs: QuantityInputs = {
    nominal,
    spreads: repeatMeasurement(gathered.plan, parts, nominal, noise, stream.fork('repeat')),
    instrumentClass: work.instrumentClass,
    size: work.size,
    blur: new Map([...gathered.blur, ['bodyLength', tailDoubt(datums.samples.besideSaddle, work.bodyLength)], ...facetDoubt(facets)]),
    spacing: Math.max(work.spacing, facets),
    stationSource: gathered.plan.rule.source,
    scaleU: options.scaleU ?? 0,
    hidden: beyondFacets(facets),
  };
  const undisturbed = quantities(inputs);
  const faults = splitHalf(gathered.plan, parts, noise, undisturbed, stream.fork('halves'));
  const measures = faults.size === 0 ? undisturbed : quantities({ ...inputs, faults });
  const stop = nominal.values.get('stop');
  return {
    unit: {
      value: opened.unit,
      basis: options.unit !== undefined ? (options.unitBasis ?? 'given') : scan.formatUnit !== undefined ? 'format' : 'inferred',
    },
    class: { value: work.instrumentClass, basis: options.instrumentClass !== undefined ? (options.classBasis ?? 'given') : 'inferred' },
    ...(stop === undefined ? {} : { station: { x: stop, source: gathered.plan.rule.source } }),
    frame: frameFromScan(opened.motion, scan),
    measures,
    absent: absences(measures, new Map([...gathered.absent, ...inputs.hidden]), nominal.hasJoint, {
      spacing: opened.surfaceSpacing,
      sigma: noise.sigma,
      size: work.size,
    }),
    warnings: [
      ...scan.warnings,
      ...gathered.warnings,
      ...frameWarnings(datums.noChannel, facets),
      ...(work.cloud.insideOut ? [INSIDE_OUT] : []),
      ...halvesWarnings(measures),
    ],
    survey: {
      sigma: seenNoise(work.sigma, noise.points),
      ...sharedByNeighbours(noise, work.cloud.count, work.spacing),
      spacing: opened.surfaceSpacing,
      extent: extentOf(scan.positions, MM_PER[opened.unit]),
      coverage: { edge: datums.crestCoverage, ...gathered.coverage },
    },
    figures: figuresOf(work, parts, nominal, gathered.plan),
  };
}

/** 4 × 4 row-major for coordinates as they stand in the file. */
function frameFromScan(m: Motion, scan: Scan): number[] {
  const o = scan.origin;
  const shifted = (r: number) => m[r + 3] - m[r] * o[0] - m[r + 1] * o[1] - m[r + 2] * o[2];
  return [m[0], m[1], m[2], shifted(0), m[4], m[5], m[6], shifted(4), m[8], m[9], m[10], shifted(8), 0, 0, 0, 1];
}

/** Share of the edge without a channel from which on it is worth a warning. */
const NO_CHANNEL = 0.25;

const INSIDE_OUT =
  'the facets face inwards: they are wound the wrong way round, or the scan is a mirror image; if it is, bass and treble are exchanged and every sign across the body is wrong';

const frameWarnings = (noChannel: number, facets: number): string[] => [
  ...(facets > 0 ? [`the surface consists of facets of some ${facets.toFixed(0)} mm: details smaller than that are not in the scan`] : []),
  ...(noChannel > NO_CHANNEL
    ? ["along much of the edge no channel is seen inside it: the top's surface 2.5 mm inside the outline stands for the crest there"]
    : []),
];

/** Size of the scan's box, mm. */
function extentOf(p: Float32Array, mm: number): readonly [number, number, number] {
  const min = [Infinity, Infinity, Infinity];
  const max = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < p.length; i++) {
    const k = i % 3;
    if (p[i] < min[k]) min[k] = p[i];
    if (p[i] > max[k]) max[k] = p[i];
  }
  if (!(max[0] >= min[0])) throw new InputError('no-points', 'no points in the scan');
  return [mm * (max[0] - min[0]), mm * (max[1] - min[1]), mm * (max[2] - min[2])];
}
