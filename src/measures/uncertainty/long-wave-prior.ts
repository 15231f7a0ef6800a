import type { Random } from '../../numerics/random.ts';

/** Long-wave error of a scanner as stated in a catalogue: mm RMS and its correlation length, mm. */
export interface StatedLongWave {
  readonly amplitude?: number | undefined;
  readonly length?: number | undefined;
}

/** A length of 0 states none. */
const hasLength = (stated: StatedLongWave): stated is { readonly length: number } => (stated.length ?? 0) > 0;

/** Whether nothing of it is left to the default distribution. */
export const isStated = (stated: StatedLongWave): boolean =>
  stated.amplitude === 0 || (stated.amplitude !== undefined && hasLength(stated));

/**
 * Default distribution of what a scan cannot show of itself. Amplitude: uniform between 0.1 and 0.65 of the scan's own white noise (a fused scan whose single points
 * are good to 0.05 mm was seen to bend by 0.005–0.03 mm; an assumption, no published source states it). Correlation length: uniform between 30 and 80 mm,
 * the size of the patches that hand-held and turntable scanners join.
 */
export const LONG_WAVE_IN_NOISE = { least: 0.1, most: 0.65 };
const LENGTH = { least: 30, most: 80 };

/** One draw of (amplitude, length), mm. */
export function drawLongWave(
  sigma: number,
  stated: StatedLongWave,
  random: Random,
): { readonly amplitude: number; readonly length: number } {
  const a = random.uniform();
  const l = random.uniform();
  return {
    amplitude: stated.amplitude ?? sigma * (LONG_WAVE_IN_NOISE.least + (LONG_WAVE_IN_NOISE.most - LONG_WAVE_IN_NOISE.least) * a),
    length: hasLength(stated) ? stated.length : LENGTH.least + (LENGTH.most - LENGTH.least) * l,
  };
}
