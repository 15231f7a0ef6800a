import type { Random } from '../numerics/random.ts';
import { sampleField } from '../numerics/random-field.ts';
import type { SmallMotionFit } from '../fits/small-motion.ts';
import type { Cores } from './cores.ts';

/** Long-wave part of the distances between two registered scans: a Gaussian field, amplitude² exp(−d²/length²). */
export interface PairField {
  /** mm RMS. */
  readonly amplitude: number;
  /** mm. */
  readonly length: number;
  /** Fields that the bodies allow: those simulated of which the like was found, as large as it takes (approximate Bayesian computation, all lengths being as likely beforehand). */
  readonly alike: readonly { readonly amplitude: number; readonly length: number }[];
  /** Relative standard uncertainty of the amplitude. */
  readonly relativeU: number;
}

/** Cores looked at, pair by pair: enough for the variogram to a few per cent. */
const MOST_CORES = 900;
const FEWEST_CORES = 150;
/** Classes of distance, mm × size; the last one takes what is farther apart. */
const CLASS = 8;
const CLASSES = 24;
/** Neighbours share points of the scans, so their white noise is alike: pairs nearer than this many classes say nothing of the field. */
const SHARED = 1;
/** Correlation lengths tried, mm × size: a little beyond what scanners are taken to have (30–80 mm). */
const LENGTHS = [30, 36, 43, 52, 62, 75, 90];
/** Simulated fields a length, by which it is known what the registration leaves of one and what is found of it. */
const SIMULATED = 16;
/** Fewest of them that are like the field that was found. */
const FEWEST_ALIKE = 16;
/** Least share of a field that is taken to be found of it: a simulation that found less found nothing. */
const LEAST_FOUND = 0.4;

/**
 * Amplitude and length of the long-wave field in the residuals of a registration, by their variogram (half the mean square difference against distance). It is held against the
 * variograms of simulated fields that went through the same registration, which takes up the longest waves.
 *
 * @param residual  n distances left, mm
 * @param variance  n white-noise variances, mm²
 * @param used  cores that count
 * @returns undefined where too little of the body is common to both
 */
export function pairField(
  cores: Cores,
  residual: Float64Array,
  variance: Float64Array,
  used: Uint8Array,
  fit: SmallMotionFit,
  size: number,
  random: Random,
): PairField | undefined {
  const counted: number[] = [];
  for (let i = 0; i < cores.count; i++) if (used[i] === 1) counted.push(i);
  const every = Math.max(1, Math.ceil(counted.length / MOST_CORES));
  const ids = counted.filter((_, k) => k % every === 0);
  if (ids.length < FEWEST_CORES) return undefined;
  const classes = pairClasses(cores, ids, CLASS * size);
  const seen = variogram(
    ids,
    classes,
    (i) => residual[i],
    (i) => variance[i],
  );
  const shapes = LENGTHS.map((l) => simulated(cores, ids, classes, fit, l * size, random));
  const found = fitField(seen, shapes);
  const alike = fieldsLike(found, shapes);
  const spread = Math.hypot(...alike.map((a) => a.amplitude - found.amplitude)) / Math.sqrt(alike.length);
  return { ...found, alike, relativeU: found.amplitude > 0 ? spread / found.amplitude : 1 };
}

type Found = Pick<PairField, 'amplitude' | 'length'>;

/** Fields of one length and of unit amplitude after a registration. */
interface Simulated {
  readonly length: number;
  readonly variograms: readonly Float64Array[];
  /** Their mean. */
  readonly shape: Float64Array;
}

/** White noise need not be simulated: over so many pairs it moves no class by more than a hundredth of the field's own scatter. */
function fieldsLike(found: Found, shapes: readonly Simulated[]): readonly Found[] {
  const rank = (length: number): number => shapes.findIndex((s) => s.length === length);
  const all = shapes.flatMap(({ length, variograms }) =>
    variograms.map((v) => {
      const again = fitField(v, shapes);
      return {
        apart: Math.abs(rank(again.length) - rank(found.length)),
        length,
        amplitude: found.amplitude / Math.max(LEAST_FOUND, again.amplitude),
      };
    }),
  );
  const near = all.map((a) => a.apart).sort((a, b) => a - b)[FEWEST_ALIKE - 1];
  return all.filter((a) => a.apart <= Math.max(1, near));
}

function fitField(seen: Float64Array, shapes: readonly Simulated[]): Found {
  let best = { square: 0, length: shapes[0].length, misfit: Infinity };
  for (const { length, shape } of shapes) {
    const { square, misfit } = fitVariogram(seen, shape);
    if (misfit < best.misfit) best = { square, length, misfit };
  }
  return { amplitude: Math.sqrt(best.square), length: best.length };
}

/** Square of the amplitude, with a constant beside it: roughness that has no length, such as that of rims and labels. Neither can be negative. */
function fitVariogram(seen: Float64Array, shape: Float64Array): { readonly square: number; readonly misfit: number } {
  let [n, x, y, xx, xy] = [0, 0, 0, 0, 0];
  for (let k = SHARED; k < CLASSES; k++) {
    n++;
    x += shape[k];
    y += seen[k];
    xx += shape[k] ** 2;
    xy += shape[k] * seen[k];
  }
  const slope = (n * xy - x * y) / (n * xx - x * x);
  const constant = (y - slope * x) / n;
  const square = Math.max(0, constant < 0 ? xy / xx : slope);
  const base = constant < 0 ? 0 : slope < 0 ? y / n : constant;
  let misfit = 0;
  for (let k = SHARED; k < CLASSES; k++) misfit += (seen[k] - base - square * shape[k]) ** 2;
  return { square, misfit };
}

/** Class of distance of each pair of cores, i over j < i. */
function pairClasses(cores: Cores, ids: readonly number[], width: number): Uint8Array {
  const p = cores.xyz;
  const classes = new Uint8Array((ids.length * (ids.length - 1)) / 2);
  let at = 0;
  for (let a = 0; a < ids.length; a++) {
    const i = 3 * ids[a];
    for (let b = 0; b < a; b++) {
      const j = 3 * ids[b];
      const d = Math.sqrt((p[i] - p[j]) ** 2 + (p[i + 1] - p[j + 1]) ** 2 + (p[i + 2] - p[j + 2]) ** 2);
      classes[at++] = Math.min(CLASSES - 1, Math.floor(d / width));
    }
  }
  return classes;
}

/** Half the mean square difference of pairs in each class, less their white noise, mm²; 0 for an empty class. */
function variogram(ids: readonly number[], classes: Uint8Array, value: (i: number) => number, noise: (i: number) => number): Float64Array {
  const sums = new Float64Array(CLASSES);
  const counts = new Float64Array(CLASSES);
  const values = Float64Array.from(ids, value);
  const variances = Float64Array.from(ids, noise);
  let at = 0;
  for (let a = 0; a < ids.length; a++) {
    for (let b = 0; b < a; b++) {
      const k = classes[at++];
      sums[k] += ((values[a] - values[b]) ** 2 - variances[a] - variances[b]) / 2;
      counts[k]++;
    }
  }
  return sums.map((s, k) => (counts[k] > 0 ? s / counts[k] : 0));
}

function simulated(
  cores: Cores,
  ids: readonly number[],
  classes: Uint8Array,
  fit: SmallMotionFit,
  length: number,
  random: Random,
): Simulated {
  const variograms = Array.from({ length: SIMULATED }, () => {
    const field = sampleField(cores.xyz, 1, length, random);
    const step = fit.solve(field);
    return variogram(
      ids,
      classes,
      (i) => field[i] - fit.explained(step, i),
      () => 0,
    );
  });
  const shape = new Float64Array(CLASSES);
  for (const v of variograms) for (let c = 0; c < CLASSES; c++) shape[c] += v[c] / SIMULATED;
  return { length, variograms, shape };
}
