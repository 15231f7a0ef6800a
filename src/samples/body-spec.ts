import type { OutlineSpec } from './outline.ts';

/** One f-hole pair. */
export interface FHoleSpec {
  /** x of the inner notches, bass and treble, mm (drawing coordinates: x = 0 at the outline's upper end). */
  readonly notchBass: number;
  readonly notchTreble: number;
  /** Half the distance between the inner notches, mm. */
  readonly notchHalfSpan: number;
  /** Length over both eyes, mm. */
  readonly length: number;
  /** Thickness of the plate at the hole, mm. */
  readonly wall: number;
}

/** How an old body departs from its drawing; all zero for a perfect one. mm unless said. */
export interface BodyDistortion {
  /** Sideways bend of the outline, one and two half waves over the length. */
  readonly bend: number;
  readonly sway: number;
  /** How far the treble side's corners lie nearer the tail. */
  readonly skew: number;
  /** The treble half is wider by this at the lower bout. */
  readonly lopsided: number;
  /** Twist of the whole edge: height of opposite corners of the body. */
  readonly twist: number;
  /** Bow of the edge along the body and across it. */
  readonly bow: number;
  readonly cup: number;
  /** Sunk (negative) or swollen (positive) arching, and where across the body its middle lies. */
  readonly swell: number;
  readonly swellAt: number;
  /** Unevenness of the crest's height, amplitude, and its phase in radians. */
  readonly crestWave: number;
  readonly crestPhase: number;
}

export interface BodySpec {
  readonly outline: OutlineSpec;
  readonly ribUpper: number;
  readonly ribLower: number;
  readonly edgeThickness: number;
  readonly overhang: number;
  /** Distance of the crest and of the channel's bottom from the outline. */
  readonly crestInset: number;
  readonly channelInset: number;
  readonly channelDepth: number;
  /** Greatest height of top and back over the crest. */
  readonly archTop: number;
  readonly archBack: number;
  readonly fHoles: FHoleSpec;
  readonly buttonWidth: number;
  readonly buttonLength: number;
  readonly saddleWidth: number;
  readonly distortion: BodyDistortion;
}
