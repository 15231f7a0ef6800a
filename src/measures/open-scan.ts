import { cloudFromScan } from '../cloud/cloud-from-scan.ts';
import { facetEdge } from '../cloud/facet-edge.ts';
import { findDatums, type FoundDatums } from '../frame/find-datums.ts';
import type { Cloud } from '../geometry/cloud.ts';
import { InputError } from '../geometry/input-error.ts';
import { compose, type Motion } from '../geometry/motion.ts';
import { MM_PER, type Scan, type Unit } from '../geometry/scan.ts';
import { random } from '../numerics/random.ts';
import { quantile } from '../numerics/statistics.ts';
import { findInstrument, type FoundInstrument, moved } from '../segmentation/find-instrument.ts';
import { proportions } from '../segmentation/proportions.ts';
import { unitAndClass } from '../segmentation/unit-and-class.ts';
import { datumParts, evaluateAll, type Evaluation } from './evaluate-all.ts';
import type { PartSamples, Workpiece } from './family.ts';
import { gatherAll, type GatheredAll } from './gather-all.ts';
import { spacingOverSurface } from './needed-fineness.ts';
import type { MeasureOptions } from './result.ts';
import { pointNoise } from './uncertainty/point-noise.ts';
import type { NoiseModel } from './uncertainty/repeat-measurement.ts';
import type { PointNoise } from './uncertainty/shared-noise.ts';

/** A scan in which instrument, datums and parts are found, before anything is said of uncertainty. */
export interface OpenedScan {
  readonly scan: Scan;
  readonly unit: Unit;
  /** The instrument in the working frame. */
  readonly work: Workpiece;
  readonly datums: FoundDatums;
  readonly gathered: GatheredAll;
  /** Datums' samples and those of all families, working frame. */
  readonly parts: PartSamples;
  /** Values from the samples as they are; its motion goes from the working to the instrument frame. */
  readonly nominal: Evaluation;
  readonly noise: NoiseModel;
  /** Spacing over most of the surface, or edge of the mesh's facets, mm. */
  readonly surfaceSpacing: number;
  /** Coordinates less the scan's origin, scan's unit → instrument frame, mm. */
  readonly motion: Motion;
}

/** Key of everything random in a measurement: the same scan gives the same record. */
export const MEASURE_KEY = 'necksight measure 1';
/** Body length ÷ this, mm, scales the definitions' lengths. */
const REFERENCE_LENGTH = 355;

/**
 * Finds the instrument in a scan, its unit and class, the datums and the parts.
 *
 * @throws {InputError} when there is no instrument to be measured in the scan, or its unit cannot be told
 */
export function openScan(scan: Scan, options: MeasureOptions): OpenedScan {
  const cloud = cloudFromScan(scan);
  const found = findInstrument(cloud, random(MEASURE_KEY).fork('find'));
  const decided = decideUnit(found, scan, options);
  const mm = MM_PER[decided.unit];
  const rough = found.motion.map((v) => v * mm) as Motion;
  const edge = facetEdge(scan) * mm;
  const facets = coarseFacets(edge, (found.bodyLength * mm) / REFERENCE_LENGTH);
  const surfaceSpacing = Math.max(scan.triangles === undefined ? 0 : edge, spacingOverSurface(cloud) * mm);
  const datums = fineEnough(surfaceSpacing, (found.bodyLength * mm) / REFERENCE_LENGTH, () =>
    findDatums(cloud, rough, found.bodyLength * mm, facets),
  );
  const working = inMillimetres(cloud, datums.motion);
  const size = datums.bodyLength / REFERENCE_LENGTH;
  const work: Workpiece = {
    cloud: working,
    instrumentClass: decided.instrumentClass,
    bodyLength: datums.bodyLength,
    size,
    sigma: datums.rimScatter,
    spacing: typicalSpacing(working),
    facets,
  };
  const gathered = gatherAll(work, options);
  const parts = { ...datumParts(datums.samples), ...gathered.parts };
  const nominal = evaluateAll(gathered.plan, parts, new Map());
  const isThinned = (cloud.largeFacets?.share ?? 0) > FEW_LARGE;
  const points = isThinned ? undefined : pointNoise(work, surfaceSpacing);
  const noise = {
    facets,
    thinned: isThinned ? (cloud.largeFacets?.edge ?? 0) * mm : 0,
    ...statedNoise(options.noise, seenNoise(work.sigma, points)),
    ...(points === undefined ? {} : { points }),
    longWave: { amplitude: options.longWave, length: options.longWaveLength },
  };
  return {
    scan,
    unit: decided.unit,
    work,
    datums,
    gathered,
    parts,
    nominal,
    noise,
    surfaceSpacing,
    motion: compose(nominal.motion, datums.motion),
  };
}

/** Spacing, mm × size, up to which an edge of 4 mm shows its crest. */
const EDGE_NEEDS = 3;

/** A refusal for want of an edge says what the scan would have to be, where it is too coarse for one. */
function fineEnough(spacing: number, size: number, find: () => FoundDatums): FoundDatums {
  try {
    return find();
  } catch (error) {
    const needed = EDGE_NEEDS * size;
    if (!(error instanceof InputError) || spacing <= needed) throw error;
    throw new InputError(error.code, `${error.message}: spacing ${spacing.toFixed(1)} mm, this needs ${needed.toFixed(0)} mm or finer`);
  }
}

/** Noise of a point as the scan shows it, mm: about the edge's profiles, whose windows cut off what is very noisy, or on smooth pieces of the body. */
export const seenNoise = (rim: number, points: PointNoise | undefined): number =>
  Math.max(rim, points === undefined ? 0 : Math.hypot(points.white, points.amplitude));

/** What was stated of the noise holds for the long-wave error that goes with it; single points are never taken to be better than the scan shows them to be. */
const statedNoise = (stated: number | undefined, seen: number) => ({
  sigma: stated !== undefined && stated > 0 ? stated : seen,
  stretch: Math.min(MOST_STRETCH, Math.max(1, (stated ?? 0) / Math.max(seen, LEAST_NOISE))),
});

/** A scan that shows less than a tenth of a stated noise was not taken with it, or is no scan. */
const MOST_STRETCH = 10;
/** mm. A scan without noise must not divide by zero. */
const LEAST_NOISE = 1e-6;

function decideUnit(found: FoundInstrument, scan: Scan, options: MeasureOptions) {
  return unitAndClass(found.bodyLength, proportions(found), {
    unit: options.unit ?? scan.formatUnit,
    instrumentClass: options.instrumentClass,
  });
}

/** Facets longer than this, mm × size, are coarse: finer ones follow edge and arris. */
const COARSE = 4;

/** Share of the surface below which large facets are stray webs and fillings of holes, not a thinned mesh. */
const FEW_LARGE = 0.05;

const coarseFacets = (edge: number, size: number): number => (edge > COARSE * size ? edge : 0);

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
