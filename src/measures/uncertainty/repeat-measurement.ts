import type { MeasureId } from '../../measurands/measurands.ts';
import type { Random } from '../../numerics/random.ts';
import { seenOutline } from '../../frame/seen-outline.ts';
import { DRAWS } from '../derive.ts';
import { evaluateAll, type Evaluation, type EvaluationPlan } from '../evaluate-all.ts';
import { FACET_ERROR, type PartSamples } from '../family.ts';
import { drawLongWave, isStated, type StatedLongWave } from './long-wave-prior.ts';
import { SOURCE } from './sources.ts';
import { withUnseenEdge } from './unseen-edge.ts';
import { sampleBook, type ScanNoise, withLongWave, withScanNoise } from './perturb-samples.ts';

/** One source of uncertainty with the deviations from the nominal value that its repetitions gave, by id. */
export interface SourceSpread {
  readonly source: string;
  readonly deviations: ReadonlyMap<MeasureId, Float64Array>;
  /** Its size is taken from a default, neither from the scan nor from the catalogue. */
  readonly assumed?: true;
}

/** Repetitions a source: u is then known to 1 ÷ √(2 n), some 13 % and 8 %; long waves dominate, so they get more. */
const WHITE_REPEATS = 30;
const LONG_WAVE_REPEATS = 72;
const STATION_REPEATS = 48;
const FACET_REPEATS = 40;
const UNSEEN_REPEATS = 48;
/**
 * Noise of a point on a facet, in that of a vertex: 1 at a corner, 1/√3 in the middle, and what the corners' noisy normals add. It is common to neighbours over
 * some edge of a facet.
 */
export const BETWEEN_CORNERS = 0.8;
/** Share of repetitions in which a value must be formed; one that comes and goes is not supported. */
const LEAST_FORMED = 0.8;
/** Standard uncertainty of the usual neck ÷ stop of a class: real instruments differ by several mm (measurands.md: 0.02). */
const STOP_RATIO_U = 0.02;

const ASSUMED = { assumed: true } as const;

export interface NoiseModel extends ScanNoise {
  /** Noise of single points along the normal, mm, stated or as the scan shows it: scales the long-wave prior. */
  readonly sigma: number;
  readonly longWave: StatedLongWave;
  /** Edge of the facets that points lie on, mm, where it is much longer than a scan's spacing should be; otherwise 0. */
  readonly facets: number;
  /** Edge of the large facets of a thinned mesh, mm, on which points share the corners' noise; otherwise 0. */
  readonly thinned: number;
}

/**
 * Measures again with simulated errors, source by source: noise and definition of each sample; long-wave error of the scanner, drawn from its prior; an assumed station. A
 * parametric bootstrap on the parts that were found (JCGM 101:2008, clause 5: propagation of distributions).
 */
export function repeatMeasurement(
  plan: EvaluationPlan,
  parts: PartSamples,
  nominal: Evaluation,
  noise: NoiseModel,
  random: Random,
): SourceSpread[] {
  const book = sampleBook(parts, noise);
  const none = new Map<string, number>();
  const spreads = [
    repeated(SOURCE.noise, WHITE_REPEATS, random.fork('white'), nominal, (r) => evaluateAll(plan, withScanNoise(book, r), none)),
    {
      ...repeated(SOURCE.longWave, LONG_WAVE_REPEATS, random.fork('long wave'), nominal, (r) => {
        const { amplitude, length } = drawLongWave(noise.sigma, noise.longWave, r);
        return evaluateAll(plan, withLongWave(book, amplitude, length, r), none);
      }),
      ...(isStated(noise.longWave) ? {} : ASSUMED),
    },
  ];
  if (noise.thinned > 0) {
    const once = (r: Random) => evaluateAll(plan, withLongWave(book, BETWEEN_CORNERS * noise.sigma, noise.thinned, r), none);
    spreads.push(repeated(SOURCE.thinned, WHITE_REPEATS, random.fork('thinned'), nominal, once));
  }
  if (noise.facets > 0) {
    spreads.push(
      repeated(SOURCE.facets, FACET_REPEATS, random.fork('facets'), nominal, (r) =>
        evaluateAll(plan, withLongWave(book, FACET_ERROR * noise.facets, noise.facets, r), none),
      ),
    );
  }
  const outline = seenOutline(parts['datum.crest'], parts['datum.outlineBass'], parts['datum.outlineTreble'], plan.bodyLength);
  if (!outline.whole) {
    spreads.push({
      ...repeated(SOURCE.unseenEdge, UNSEEN_REPEATS, random.fork('unseen'), nominal, (r) =>
        evaluateAll(plan, withUnseenEdge(parts, outline, plan.bodyLength, r), none),
      ),
      ...ASSUMED,
    });
  }
  if (plan.rule.source === 'assumed') {
    spreads.push({
      ...repeated(SOURCE.station, STATION_REPEATS, random.fork('station'), nominal, (r) =>
        evaluateAll(plan, parts, new Map([[DRAWS.stopRatio, STOP_RATIO_U * r.normal()]])),
      ),
      ...ASSUMED,
    });
  }
  return spreads;
}

function repeated(source: string, repeats: number, random: Random, nominal: Evaluation, once: (r: Random) => Evaluation): SourceSpread {
  const rows = new Map<MeasureId, number[]>();
  for (let k = 0; k < repeats; k++) {
    const { values } = once(random);
    for (const [id, value] of values) {
      const centre = nominal.values.get(id);
      if (centre === undefined || !Number.isFinite(value)) continue;
      const row = rows.get(id);
      if (row === undefined) rows.set(id, [value - centre]);
      else row.push(value - centre);
    }
  }
  const deviations = new Map<MeasureId, Float64Array>();
  for (const [id, row] of rows) if (row.length >= LEAST_FORMED * repeats) deviations.set(id, Float64Array.from(row));
  return { source, deviations };
}

/** Root mean square of deviations from the nominal value: a bias of the estimator under noise counts as uncertainty. */
export function spreadOf(deviations: Float64Array): number {
  let s = 0;
  for (const d of deviations) s += d * d;
  return Math.sqrt(s / deviations.length);
}
