import { BETWEEN_CORNERS, type NoiseModel } from './repeat-measurement.ts';

/** How far neighbouring points of a scan share their noise, and what that leaves of their number. */
export interface SharedByNeighbours {
  /** Part of the noise that neighbours share, mm; 0 where they are independent as far as the scan shows. */
  readonly correlatedNoise: number;
  /** Length over which they share it, mm: the covariance falls with exp(−d²/length²). */
  readonly correlationLength: number;
  /** Independent points that would tell a mean over much of the surface as well as these do. */
  readonly effectivePoints: number;
}

/**
 * Effective number of points: n ÷ (1 + s π L² ÷ A), with s the shared part of the variance, L the correlation length and A the area a point stands for, since the integral of exp(−d²/L²) over the
 * surface is π L².
 *
 * @param count  points of the cloud
 * @param spacing  √A, mm
 * @returns nothing where the scan shows too little of a smooth body to tell
 */
export function sharedByNeighbours(noise: NoiseModel, count: number, spacing: number): Partial<SharedByNeighbours> {
  const { points } = noise;
  const [correlatedNoise, correlationLength, variance] =
    noise.thinned > 0
      ? [BETWEEN_CORNERS * noise.sigma, noise.thinned, noise.sigma ** 2]
      : [points?.amplitude ?? 0, points?.length ?? 0, (points?.white ?? 0) ** 2 + (points?.amplitude ?? 0) ** 2];
  if (!(variance > 0)) return {};
  const alike = ((correlatedNoise ** 2 / variance) * Math.PI * correlationLength ** 2) / spacing ** 2;
  return { correlatedNoise, correlationLength, effectivePoints: Math.round(count / (1 + alike)) };
}
