/**
 * Coordinates that follow the outline of a body: `along` runs from the neck round one side to the tail, `out` is the distance from a spine, so
 * that every stretch of the outline is met about squarely. Around the neck end and the tail end they are polar, between them they are x and |y|.
 */
export interface RimCoordinates {
  /** Length of one side, mm. */
  readonly length: number;
  along(x: number, absY: number): number;
  out(x: number, absY: number): number;
  /** The point at (along, out): x and |y|. */
  place(along: number, out: number): readonly [number, number];
}

/** Centres of the two polar stretches and the radii that turn their angles into lengths, as shares of body length. */
const UPPER_CENTRE = 0.2;
const LOWER_CENTRE = 0.79;
const UPPER_RADIUS = 0.235;
const LOWER_RADIUS = 0.29;

export function rimCoordinates(bodyLength: number): RimCoordinates {
  const upper = UPPER_CENTRE * bodyLength;
  const lower = LOWER_CENTRE * bodyLength;
  const upperArc = (UPPER_RADIUS * bodyLength * Math.PI) / 2;
  const lowerArc = (LOWER_RADIUS * bodyLength * Math.PI) / 2;
  const middle = lower - upper;
  return {
    length: upperArc + middle + lowerArc,
    along(x, absY) {
      if (x < upper) return UPPER_RADIUS * bodyLength * Math.atan2(absY, upper - x);
      if (x <= lower) return upperArc + x - upper;
      return upperArc + middle + LOWER_RADIUS * bodyLength * Math.atan2(x - lower, absY);
    },
    out(x, absY) {
      if (x < upper) return Math.hypot(upper - x, absY);
      return x <= lower ? absY : Math.hypot(x - lower, absY);
    },
    place(along, out) {
      if (along < upperArc) {
        const angle = along / (UPPER_RADIUS * bodyLength);
        return [upper - out * Math.cos(angle), out * Math.sin(angle)];
      }
      if (along <= upperArc + middle) return [upper + along - upperArc, out];
      const angle = (along - upperArc - middle) / (LOWER_RADIUS * bodyLength);
      return [lower + out * Math.sin(angle), out * Math.cos(angle)];
    },
  };
}
