import type { Change } from './change-result.ts';
import type { ComparedPair } from './compared-pair.ts';
import { longWaveOfPair, PRIOR } from './long-wave-of-pair.ts';

/** Half-width of the 95 % interval in u. */
const COVERAGE_FACTOR = 1.96;
/** Relative standard uncertainty of what a body changed by that part of its area where no core stands: under the board the top changes most. */
const UNREAD = 0.3;
/** Residual field in the largest that the scanners' errors make likely, from which on the body itself has moved. */
const MOVED = 1.4;

/**
 * RMS distance of the registered bodies, with the scans' own noise deducted: white noise as seen, long-wave error as the parts of the body that kept their shape show it, or, where it did
 * not change, as the prior has it.
 */
export function bodyResidual(pair: ComparedPair): Change {
  const square = residualSquare(pair);
  const after = (longWave: number): number => Math.sqrt(Math.max(0, square - longWave));
  const { field } = pair.noise;
  const relative = Math.hypot(field?.relativeU ?? 0.5, pair.placed.registration.moved ? UNREAD : 0);
  const seen = pair.placed.registration.moved && field !== undefined ? field.amplitude : undefined;
  const of = (share: number): number =>
    seen === undefined
      ? longWaveOfPair([pair.baseline, pair.later], share) ** 2
      : (seen * (1 + (COVERAGE_FACTOR * relative * (share - PRIOR.middle)) / HALF)) ** 2;
  const value = after(of(PRIOR.middle));
  const [low, high] = [
    Math.max(0, after(of(PRIOR.most)) * (1 - COVERAGE_FACTOR * relative)),
    Math.hypot(Math.sqrt(square) * (1 + COVERAGE_FACTOR * relative), LEAST_MOVED * pair.placed.size),
  ];
  const U95 = Math.max(high - value, value - low);
  const u = U95 / COVERAGE_FACTOR;
  return {
    value,
    unit: 'mm',
    u,
    U95,
    low,
    high,
    basis: 'measured',
    quality: U95 <= 0.1 ? 'good' : U95 <= 0.3 ? 'fair' : 'poor',
    budget: [{ source: "scanners' long-wave error", u }],
    uBaseline: u / Math.SQRT2,
  };
}

/** Half of what the prior spans. */
const HALF = (PRIOR.most - PRIOR.least) / 2;

/** Mean square of the distances, even by area, less their white noise, mm². */
function residualSquare({ placed }: Pick<ComparedPair, 'placed'>): number {
  const { body, registration } = placed;
  const { distance, variance } = registration.distances;
  const counted = registration.turned ? registration.used : registration.body;
  let [sum, area] = [0, 0];
  for (let i = 0; i < body.count; i++) {
    if (counted[i] === 0 || Number.isNaN(distance[i])) continue;
    sum += body.area[i] * (distance[i] ** 2 - variance[i]);
    area += body.area[i];
  }
  return Math.max(0, sum / area);
}

/** Whether the bodies differ by more than their scanners' errors explain. */
export function bodyMoved(pair: Pick<ComparedPair, 'placed' | 'baseline' | 'later'>): boolean {
  const { size, registration } = pair.placed;
  const most = MOVED * longWaveOfPair([pair.baseline, pair.later], PRIOR.most);
  return registration.moved || Math.sqrt(residualSquare(pair)) > Math.max(most, LEAST_MOVED * size);
}
/** mm × size: below this two meshes of one surface differ. */
const LEAST_MOVED = 0.01;

export function bodyWarnings(pair: ComparedPair): string[] {
  const { registration } = pair.placed;
  return [
    ...(bodyMoved(pair)
      ? [
          `the body itself changed between the scans (${Math.sqrt(residualSquare(pair)).toFixed(2)} mm RMS): humidity swells the top; the neck is held against the body as a whole, and was given a wider uncertainty`,
        ]
      : []),
    ...(registration.turned ? ['the upper block turned against the rest of the body: its stretch is left out of the registration'] : []),
    ...(registration.overlap < 0.5
      ? [
          `only ${Math.round(100 * registration.overlap)} % of the baseline's body is seen in the later scan: what is not seen is uncertainty`,
        ]
      : []),
    ...(registration.stopped === 'rounds' ? ['the registration of the bodies had not settled after all its rounds'] : []),
  ];
}
