import type { OpenedScan } from '../measures/open-scan.ts';
import { LONG_WAVE_IN_NOISE } from '../measures/uncertainty/long-wave-prior.ts';

/** Long-wave error of a scan in its white noise: least, middle and most of the prior for one scan. */
export const PRIOR = { ...LONG_WAVE_IN_NOISE, middle: (LONG_WAVE_IN_NOISE.least + LONG_WAVE_IN_NOISE.most) / 2 };

/**
 * Long-wave error of two scans together, mm RMS: stated, or a share of their white noise.
 *
 * @param share  of the white noise of a scan that states none
 */
export const longWaveOfPair = (scans: readonly Pick<OpenedScan, 'noise'>[], share: number): number =>
  Math.hypot(...scans.map(({ noise }) => noise.longWave.amplitude ?? share * noise.sigma));
