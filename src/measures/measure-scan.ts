import { facetEdge } from '../cloud/facet-edge.ts';
import { cloudFromScan } from '../cloud/cloud-from-scan.ts';
import { findDatums } from '../frame/find-datums.ts';
import type { Cloud } from '../geometry/cloud.ts';
import { InputError } from '../geometry/input-error.ts';
import { compose, type Motion } from '../geometry/motion.ts';
import { MM_PER, type Scan } from '../geometry/scan.ts';
import { random } from '../numerics/random.ts';
import { quantile } from '../numerics/statistics.ts';
import { findInstrument, type FoundInstrument, moved } from '../segmentation/find-instrument.ts';
import { proportions } from '../segmentation/proportions.ts';
import { unitAndClass } from '../segmentation/unit-and-class.ts';
import { absences } from './absences.ts';
import { beyondFacets } from './beyond-facets.ts';
import { datumParts, evaluateAll } from './evaluate-all.ts';
import type { Workpiece } from './family.ts';
import { figuresOf } from './figures-of.ts';
import { gatherAll } from './gather-all.ts';
import { quantities } from './quantities.ts';
import type { MeasureOptions, MeasureResult } from './result.ts';
import { repeatMeasurement } from './uncertainty/repeat-measurement.ts';

/** Seed of everything random in a measurement: the same scan gives the same record. */
const SEED = 'necksight measure 1';
/** Body length ÷ this, mm, scales the definitions' lengths. */
const REFERENCE_LENGTH = 355;

/**
 * Measures one scan: finds the instrument, its unit and class, the datums, the parts; evaluates; repeats with simulated errors.
 *
 * @throws {InputError} when there is no instrument to be measured in the scan, or its unit cannot be told
 */
export function measureScan(scan: Scan, options: MeasureOptions): MeasureResult {
  const chance = random(SEED);
  const cloud = cloudFromScan(scan);
  const found = findInstrument(cloud, chance.fork('find'));
  const decided = decideUnit(found, scan, options);
  const mm = MM_PER[decided.unit];
  const rough = found.motion.map((v) => v * mm) as Motion;
  const frame = findDatums(cloud, rough, found.bodyLength * mm);
  const working = inMillimetres(cloud, frame.motion);
  const size = frame.bodyLength / REFERENCE_LENGTH;
  const work: Workpiece = {
    cloud: working,
    instrumentClass: decided.instrumentClass,
    bodyLength: frame.bodyLength,
    size,
    sigma: options.noise ?? frame.rimScatter,
    spacing: typicalSpacing(working),
  };
  const gathered = gatherAll(work, options);
  const parts = { ...datumParts(frame.samples), ...gathered.parts };
  const nominal = evaluateAll(gathered.plan, parts, new Map());
  const facets = coarseFacets(facetEdge(scan) * mm, size);
  const thinned = (cloud.largeFacets?.share ?? 0) > FEW_LARGE ? (cloud.largeFacets?.edge ?? 0) * mm : 0;
  const noise = { facets, thinned, sigma: work.sigma, longWave: { amplitude: options.longWave, length: options.longWaveLength } };
  const spreads = repeatMeasurement(gathered.plan, parts, nominal, noise, chance.fork('repeat'));
  const hidden = beyondFacets(facets);
  const measures = quantities({
    nominal,
    spreads,
    instrumentClass: decided.instrumentClass,
    size,
    blur: gathered.blur,
    spacing: Math.max(work.spacing, facets),
    stationSource: gathered.plan.rule.source,
    scaleU: options.scaleU ?? 0,
    hidden,
  });
  const motion = compose(nominal.motion, frame.motion);
  const stop = nominal.values.get('stop');
  return {
    unit: {
      value: decided.unit,
      basis: options.unit !== undefined ? (options.unitBasis ?? 'given') : scan.formatUnit !== undefined ? 'format' : 'inferred',
    },
    class: { value: decided.instrumentClass, basis: options.instrumentClass !== undefined ? (options.classBasis ?? 'given') : 'inferred' },
    ...(stop === undefined ? {} : { station: { x: stop, source: gathered.plan.rule.source } }),
    frame: frameFromScan(motion, scan),
    measures,
    absent: absences(measures, new Map([...gathered.absent, ...hidden]), nominal.hasJoint),
    warnings: [...scan.warnings, ...gathered.warnings, ...frameWarnings(frame.noChannel, facets)],
    survey: {
      sigma: work.sigma,
      spacing: work.spacing,
      extent: extentOf(scan.positions),
      coverage: { edge: frame.crestCoverage, ...gathered.coverage },
    },
    figures: figuresOf(work, parts, nominal, gathered.plan),
  };
}

function decideUnit(found: FoundInstrument, scan: Scan, options: MeasureOptions) {
  return unitAndClass(found.bodyLength, proportions(found), {
    unit: options.unit ?? scan.formatUnit,
    instrumentClass: options.instrumentClass,
  });
}

/** 4 × 4 row-major for coordinates as they stand in the file. */
function frameFromScan(m: Motion, scan: Scan): number[] {
  const o = scan.origin;
  const shifted = (r: number) => m[r + 3] - m[r] * o[0] - m[r + 1] * o[1] - m[r + 2] * o[2];
  return [m[0], m[1], m[2], shifted(0), m[4], m[5], m[6], shifted(4), m[8], m[9], m[10], shifted(8), 0, 0, 0, 1];
}

/** Facets longer than this, mm × size, are coarse: finer ones follow edge and arris. */
const COARSE = 4;

/** Share of the surface below which large facets are stray webs and fillings of holes, not a thinned mesh. */
const FEW_LARGE = 0.05;

const coarseFacets = (edge: number, size: number): number => (edge > COARSE * size ? edge : 0);

/** Share of the edge without a channel from which on it is worth a warning. */
const NO_CHANNEL = 0.25;

const frameWarnings = (noChannel: number, facets: number): string[] => [
  ...(facets > 0 ? [`the surface consists of facets of some ${facets.toFixed(0)} mm: details smaller than that are not in the scan`] : []),
  ...(noChannel > NO_CHANNEL
    ? ["along much of the edge no channel is seen inside it: the top's surface 2.5 mm inside the outline stands for the crest there"]
    : []),
];

function extentOf(p: Float32Array): readonly [number, number, number] {
  const min = [Infinity, Infinity, Infinity];
  const max = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < p.length; i++) {
    const k = i % 3;
    if (p[i] < min[k]) min[k] = p[i];
    if (p[i] > max[k]) max[k] = p[i];
  }
  if (!(max[0] >= min[0])) throw new InputError('no-points', 'no points in the scan');
  return [max[0] - min[0], max[1] - min[1], max[2] - min[2]];
}

/** Points that the spacing is read from: the median is then good to a per cent. */
const SPACING_POINTS = 5000;

/** √(area a point), median over points spread evenly through the scan, mm. */
function typicalSpacing(cloud: Cloud): number {
  const every = Math.max(1, Math.floor(cloud.count / SPACING_POINTS));
  const sides: number[] = [];
  for (let i = 0; i < cloud.count; i += every) if (cloud.areas[i] > 0) sides.push(Math.sqrt(cloud.areas[i]));
  return sides.length > 0 ? quantile(sides, 0.5) : 0;
}

/** A cloud moved by a motion that carries a change of unit: areas go with the square of it. */
function inMillimetres(cloud: Cloud, motion: Motion): Cloud {
  const scale = Math.hypot(motion[0], motion[1], motion[2]);
  const placed = moved(cloud, motion);
  return { ...placed, areas: scale === 1 ? placed.areas : placed.areas.map((a) => a * scale * scale) };
}
