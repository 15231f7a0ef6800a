const DEGREES = 180 / Math.PI;

/**
 * How far a found frame is from the true one.
 *
 * @param found, truth  row-major 4 × 4: scan coordinates in the scan's unit to the instrument frame in mm
 * @returns angle between the two in degrees, distance of the found origin from the true one in mm
 */
export function frameError(found: readonly number[], truth: readonly number[]): { readonly rotation: number; readonly origin: number } {
  const sf = scaleOf(found);
  const st = scaleOf(truth);
  let trace = 0;
  for (let i = 0; i < 3; i++) for (let j = 0; j < 3; j++) trace += (found[4 * i + j] * truth[4 * i + j]) / (sf * st);
  const rotation = Math.acos(Math.max(-1, Math.min(1, (trace - 1) / 2))) * DEGREES;
  // The true origin in scan coordinates, then where the found frame puts it.
  const origin = [0, 1, 2].map((j) => -(truth[j] * truth[3] + truth[4 + j] * truth[7] + truth[8 + j] * truth[11]) / (st * st));
  const put = [0, 1, 2].map(
    (i) => found[4 * i] * origin[0] + found[4 * i + 1] * origin[1] + found[4 * i + 2] * origin[2] + found[4 * i + 3],
  );
  return { rotation, origin: Math.hypot(...put) };
}

/** mm per unit of the scan: the length of the matrix's first row. */
const scaleOf = (m: readonly number[]): number => Math.hypot(m[0], m[1], m[2]);
