import type { ComparisonResult } from '../../../src/change/change-result.ts';
import { applyToPoint, compose, invert, type Motion } from '../../../src/geometry/motion.ts';
import type { Vec3 } from '../../../src/geometry/vec3.ts';

/** How far a registration leaves the corners of the body's box from where they truly belong. */
export interface RegistrationError {
  /** Of the farthest corner, mm. */
  readonly farthest: number;
  /** Its standard uncertainty by the comparison's own covariance, mm. */
  readonly u: number;
}

/** Half the width and the depth of a body, of its length. */
const HALF_WIDTH = 0.29;
const DEPTH = { top: 0.05, back: -0.14 };
/** Middle of the body's depth about which the covariance is given, of its length. */
const MIDDLE = -15 / 355;

/**
 * @param found  both scans in mm to their own instrument frames, as they were found
 * @param right  both scans in mm to the baseline's true instrument frame
 */
export function registrationError(
  { registration }: ComparisonResult,
  found: readonly [Motion, Motion],
  right: readonly [Motion, Motion],
  bodyLength: number,
): RegistrationError {
  const together = compose(Float64Array.from(registration.motion.slice(0, 12)), found[1]);
  const byTruth = compose(compose(right[0], invert(found[0])), compose(together, invert(right[1])));
  const corners: readonly Vec3[] = [0, bodyLength].flatMap((x) =>
    [-HALF_WIDTH, HALF_WIDTH].flatMap((y) => [DEPTH.back, DEPTH.top].map((z): Vec3 => [x, y * bodyLength, z * bodyLength])),
  );
  const distances = corners.map((p) => {
    const q = applyToPoint(byTruth, p);
    return Math.hypot(q[0] - p[0], q[1] - p[1], q[2] - p[2]);
  });
  const farthest = Math.max(...distances);
  return { farthest, u: cornerU(registration.covariance, corners[distances.indexOf(farthest)] as Vec3, bodyLength) };
}

/** Root of the trace of the covariance of a corner's place. */
function cornerU(covariance: readonly number[], [x, y, z]: Vec3, bodyLength: number): number {
  const [a, b, c] = [x - bodyLength / 2, y, z - MIDDLE * bodyLength];
  const rows = [
    [0, c, -b, 1, 0, 0],
    [-c, 0, a, 0, 1, 0],
    [b, -a, 0, 0, 0, 1],
  ];
  let trace = 0;
  for (const row of rows) {
    for (let i = 0; i < 6; i++)
      for (let j = 0; j < 6; j++) trace += (row[i] as number) * (row[j] as number) * (covariance[6 * i + j] as number);
  }
  return Math.sqrt(trace);
}
