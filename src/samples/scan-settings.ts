import type { Unit } from '../geometry/scan.ts';
import type { Dress } from './instrument.ts';

/** Which side of the instrument the scanner sees. */
export type View = 'whole' | 'front' | 'no-back' | 'top-half' | 'no-scroll';

/** How a model scan is taken; mm. */
export interface ScanSettings {
  /** White noise along normals, standard deviation. */
  readonly sigma: number;
  /** Error that neighbours share: a Gaussian random field along the normal, covariance a² exp(−d²/L²) or a² exp(−d/L). */
  readonly correlated: { readonly amplitude: number; readonly length: number; readonly kernel: 'gaussian' | 'exponential' };
  readonly spacing: number;
  readonly view: View;
  readonly fittings: Dress;
  /** Patches lost on dark board and glossy varnish: how many, and their radius at most. */
  readonly holes: { readonly count: number; readonly radius: number };
  /** Single wild points (share of all) and stray clusters (how many). */
  readonly outliers: { readonly share: number; readonly clusters: number };
  readonly unit: Unit;
  readonly pose: 'drawing' | 'random';
  readonly kind: 'mesh' | 'cloud';
}

/** A clean scan of a bare instrument. */
export const SCAN_DEFAULTS: ScanSettings = {
  sigma: 0.03,
  correlated: { amplitude: 0, length: 50, kernel: 'gaussian' },
  spacing: 0.5,
  view: 'whole',
  fittings: 'bare',
  holes: { count: 0, radius: 0 },
  outliers: { share: 0, clusters: 0 },
  unit: 'mm',
  pose: 'random',
  kind: 'mesh',
};
