import { asWarped } from '../measures/gather-all.ts';
import type { OpenedScan } from '../measures/open-scan.ts';
import { random } from '../numerics/random.ts';
import type { ComparisonResult } from './change-result.ts';
import { changeValues } from './change-values.ts';
import { longWaveOfPair, PRIOR } from './long-wave-of-pair.ts';
import { type PairField, pairField } from './pair-field.ts';
import { NO_WARP, pairValues } from './pair-model.ts';
import { buildPairModel } from './build-pair-model.ts';
import { type FollowedNeck, followNeck } from './follow-neck.ts';
import { pairSpreads } from './pair-spreads.ts';
import { placeBodies, type PlacedBodies } from './place-bodies.ts';
import { sideFaults } from './side-faults.ts';
import { changeBySurface } from './whole-body.ts';

/** Key of everything random in a comparison: the same scans give the same record. */
const KEY = 'necksight compare 1';
/** Length over which a swelling top moves as one, mm × size. */
const SWELL = 60;

export interface CompareOptions {
  /** Relative standard scale errors of the two scanners; equal scanners share theirs. */
  readonly scaleU?: readonly [number, number];
  readonly scanners?: 'same' | 'different';
}

/**
 * What changed between two scans of one instrument: registers the later to the baseline on the body alone, then follows the neck's wood, the heel and all single-scan measurands in the
 * baseline's datums.
 *
 * @throws {InputError} `different-body` or `mirrored` where the bodies do not match
 */
export function compareScans(first: OpenedScan, second: OpenedScan, options: CompareOptions = {}): ComparisonResult {
  const stream = random(KEY);
  const placed = placeBodies(first, second);
  const { registration, body } = placed;
  const field = pairField(
    body,
    registration.quiet.distance,
    registration.distances.variance,
    registration.quiet.used,
    registration.quiet.fit,
    placed.size,
    stream.fork('field'),
  );
  const found = followNeck(placed, first, second, errorsOverArea(placed, field ?? usualField(placed.size, [first, second])));
  // Both boards by one model: each scan by itself takes a small warp for none.
  const [baseline, later] = isWarped(found, placed.size) ? [withWarp(first), withWarp(second)] : [first, second];
  const model = buildPairModel(placed, found, baseline, later);
  const nominal = pairValues(model, model.baseline.parts, model.later.parts);
  const { unseen } = registration;
  const noise = {
    baseline: baseline.noise,
    later: later.noise,
    field,
    unseen: unseen === undefined ? undefined : { ...unseen, amplitude: changeBySurface(body, registration), length: SWELL * placed.size },
  };
  const spreads = pairSpreads(model, nominal, noise, stream.fork('repeat'));
  const faults = [
    sideFaults(baseline, 'baseline', spreads, stream.fork('halves of the baseline')),
    sideFaults(later, 'later', spreads, stream.fork('halves of the later scan')),
  ] as const;
  return changeValues({ placed, found, model, nominal, spreads, faults, noise, options, baseline, later });
}

/** Length of the long waves of a pair that shows none of its own, mm × size: the middle of the prior. */
const USUAL_LENGTH = 50;

const usualField = (size: number, scans: readonly OpenedScan[]) => ({
  amplitude: longWaveOfPair(scans, PRIOR.middle),
  length: USUAL_LENGTH * size,
});

/** Variance of the mean distance over a large area, times that area, mm⁴: of a Gaussian field, the integral of its covariance. */
function errorsOverArea({ body, registration }: PlacedBodies, { amplitude, length }: Pick<PairField, 'amplitude' | 'length'>): number {
  const { variance } = registration.distances;
  const white = Float64Array.from(variance, (v, i) => v * (body.area[i] as number)).filter((v) => !Number.isNaN(v));
  const mean = white.reduce((sum, v) => sum + v, 0) / white.length;
  return mean + Math.PI * (amplitude * length) ** 2;
}

const isWarped = ({ neck }: FollowedNeck, size: number): boolean => typeof neck !== 'string' && Math.abs(neck.state[6]) > NO_WARP * size;
const withWarp = (scan: OpenedScan): OpenedScan => ({ ...scan, gathered: asWarped(scan.gathered) });
