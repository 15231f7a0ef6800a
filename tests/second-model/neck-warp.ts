/**
 * How a neck warps. The curve is one of shares of the neck's length from the nut, 1 at its sagitta's place, 0 at both ends of
 * the chord, with a continuous second derivative everywhere:
 * - over the chord a skewed half wave: a neck is thinner and bends more towards the nut;
 * - from the chord to the nut its curvature runs out; head and nut go on straight;
 * - from the chord to the joint a quintic that ends at rest: the throat bends back by as much as the chord asks.
 */
const [FROM, TILL] = [0.15, 0.75];
const SKEW = 0.4;
const SPAN = TILL - FROM;
const TO_NUT = FROM / SPAN;
const TO_JOINT = (1 - TILL) / SPAN;

/** value and slope (per neck length) at share t ≥ 0 of the neck's length */
export function warpCurve(t: number): readonly [value: number, slope: number] {
  const x = (t - FROM) / SPAN;
  if (x < 0) {
    const [m, c] = [Math.PI * (1 + SKEW / 2), -2 * Math.PI * SKEW];
    return [m * x + c * (x ** 2 / 2 + x ** 3 / (6 * TO_NUT)), (m + c * (x + x ** 2 / (2 * TO_NUT))) / SPAN];
  }
  if (x <= 1) {
    const [s, c, g] = [Math.sin(Math.PI * x), Math.cos(Math.PI * x), 1 + SKEW * (0.5 - x)];
    return [s * g, (Math.PI * c * g - SKEW * s) / SPAN];
  }
  const y = (x - 1) / TO_JOINT;
  if (y >= 1) return [0, 0];
  const m = -Math.PI * (1 - SKEW / 2) * TO_JOINT;
  const c = 2 * Math.PI * SKEW * TO_JOINT ** 2;
  const z = 1 - y;
  return [
    m * y * z ** 3 * (1 + 3 * y) + (c * y * y * z ** 3) / 2,
    (m * (1 - 18 * y ** 2 + 32 * y ** 3 - 15 * y ** 4) + c * (y - 4.5 * y ** 2 + 6 * y ** 3 - 2.5 * y ** 4)) / TO_JOINT / SPAN,
  ];
}
