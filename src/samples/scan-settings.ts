import type { Unit } from '../geometry/scan.ts';
import type { Dress } from './model-instrument.ts';

/** Which side of the instrument the scanner sees. */
export type View = 'whole' | 'front' | 'no-back' | 'top-half' | 'bottom-half' | 'no-scroll' | 'body-only';

/** What else stands in the scan: a table it lies on, a cradle of two padded blocks, a stand that holds it by the tail and the neck. */
export type Stand = 'none' | 'table' | 'cradle' | 'stand';

/** How a model scan is taken; mm. */
export interface ScanSettings {
  /** White noise along normals, standard deviation. */
  readonly sigma: number;
  /** Error that neighbours share: a Gaussian random field along the normal, covariance a² exp(−d²/L²) or a² exp(−d/L). */
  readonly correlated: { readonly amplitude: number; readonly length: number; readonly kernel: 'gaussian' | 'exponential' };
  readonly spacing: number;
  readonly view: View;
  readonly fittings: Dress;
  readonly stand: Stand;
  /** Patches lost on dark board and glossy varnish: how many, and their radius at most. */
  readonly holes: { readonly count: number; readonly radius: number };
  /** Single wild points (share of all) and stray clusters (how many). */
  readonly outliers: { readonly share: number; readonly clusters: number };
  /** Sheets that a mesher spans between strings and board: how many. */
  readonly webbing: number;
  /** A CT-like scan that also shows the inside of plates and ribs. */
  readonly inner: 'none' | 'shown';
  /** One shell, or looks from the front and from behind that overlap at the ribs and were never merged. */
  readonly shells: 'one' | 'front-and-back';
  /**
   * Thinning: none; fewer points where the surface is flat; evenly coarse; patchy (a cloud whose density wanders). `cell` is the size of what is merged; neck, board and
   * edge may be scanned from nearer, and are merged by `nearCell` then. */
  readonly thinning: { readonly kind: 'none' | 'adaptive' | 'even' | 'patchy'; readonly cell: number; readonly nearCell?: number };
  /** Step to which exported coordinates are rounded (to the power of two below it), mm; 0 for none. */
  readonly step: number;
  readonly unit: Unit;
  /** Relative error of the scanner's scale: coordinates come out larger by this share. */
  readonly scaleError: number;
  /** As drawn, turned and moved at random, far from the origin, or a mirror image (for tests). */
  readonly pose: 'drawing' | 'random' | 'far' | 'mirrored';
  readonly kind: 'mesh' | 'cloud';
}

/** A clean scan of a bare instrument. */
export const SCAN_DEFAULTS: ScanSettings = {
  sigma: 0.03,
  correlated: { amplitude: 0, length: 50, kernel: 'gaussian' },
  spacing: 0.5,
  view: 'whole',
  fittings: 'bare',
  stand: 'none',
  holes: { count: 0, radius: 0 },
  outliers: { share: 0, clusters: 0 },
  webbing: 0,
  inner: 'none',
  shells: 'one',
  thinning: { kind: 'none', cell: 0 },
  step: 0,
  unit: 'mm',
  scaleError: 0,
  pose: 'random',
  kind: 'mesh',
};
