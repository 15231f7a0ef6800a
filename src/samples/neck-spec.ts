export interface BoardSpec {
  readonly length: number;
  readonly widthNut: number;
  readonly widthEnd: number;
  /** Height of the side faces at either end. */
  readonly edgeNut: number;
  readonly edgeEnd: number;
  readonly radiusNut: number;
  readonly radiusEnd: number;
  /** Depth of the hollow along the board, bass, centre, treble; negative for a hump. */
  readonly scoopBass: number;
  readonly scoopCentre: number;
  readonly scoopTreble: number;
  /** Size of the rounding of the upper arrises. */
  readonly arris: number;
  /** How much narrower the board is at its underside. */
  readonly undercut: number;
  /** Depth of the hollow in the underside of the free board. */
  readonly hollow: number;
  /** A board thinned from below: how far its free lower arris rises towards the end. */
  readonly thinning: number;
  /** Widening in the high positions, at the end; and where it begins (x from the joint). */
  readonly flareBass: number;
  readonly flareTreble: number;
  readonly flareFrom: number;
  /** How far the end face leans: the lower edge lies nearer the nut by this, mm. */
  readonly endLean: number;
}

export interface HeelSpec {
  /** Angle of the contour to the normal of the edge, radians, and its bow, mm. */
  readonly lean: number;
  readonly bow: number;
  /** How far before the joint the throat passes into the neck. */
  readonly throat: number;
  /** Half-width at the lower end, as a share of the button's. */
  readonly spread: number;
}

export interface NeckSpec {
  /** Nut to the outline's upper end, along the glue line. */
  readonly length: number;
  /** Glue line over the crest at x = 0 of the drawing. */
  readonly overstand: number;
  /** Rise of the glue line towards the bridge, radians. */
  readonly bedAngle: number;
  /** Sideways shift at x = 0, mm; yaw, roll, radians, as in the measurands. */
  readonly offset: number;
  readonly yaw: number;
  readonly roll: number;
  /** Roll of the board's end against the nut, radians. */
  readonly twist: number;
  /** A bend of the neck, mm: its middle moves away from the strings when negative. */
  readonly hump: number;
  /** Neck narrower than the board at the glue line, each side. */
  readonly inset: number;
  /** Fillet (glue, filler) between the root's sides and ribs and edge, mm; 0 for a sharp corner. */
  readonly fillet: number;
  readonly thicknessNut: number;
  readonly thicknessHeel: number;
  readonly nutLength: number;
  readonly nutHeight: number;
  readonly nutRadius: number;
  readonly headLength: number;
  readonly board: BoardSpec;
  readonly heel: HeelSpec;
}
