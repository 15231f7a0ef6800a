import { linearLeastSquares } from '../../numerics/linear-least-squares.ts';
import type { EvaluationContext } from '../family.ts';
import type { Samples } from '../samples.ts';

/** Shares of the neck's length, from the nut, at which its thickness is measured. */
const AT_NUT = 0.15;
const AT_HEEL = 0.65;
/** mm × size. Half the length of the patch that is fitted round a station. */
const HALF_PATCH = 9;
/** mm × size. Scales the coordinate across. */
const HALF_STRIP = 4;
/** 1, u, u², y, uy, y² along and across. */
const COLUMNS = 6;
/** A patch must reach this far (share of its half length) to both sides of the station, or hold points nearer than that to it. */
const REACH = 0.3;

/** Sets neckThicknessNut and neckThicknessHeel from both faces of the neck, where board line and neck length are known (`shared`, `values`). */
export function evaluateThickness(board: Samples, back: Samples, context: EvaluationContext): void {
  const z0 = context.shared.get('boardLine.z0');
  const slope = context.shared.get('boardLine.slope');
  const nutX = context.shared.get('board.nutX');
  if (z0 === undefined || slope === undefined || nutX === undefined) return;
  for (const [id, share] of [['neckThicknessNut', AT_NUT], ['neckThicknessHeel', AT_HEEL]] as const) {
    // The neck's length runs along the board line from the nut to x = 0: shares of it are shares of x.
    const x = nutX * (1 - share);
    const upper = depthAlongNormal(board, x, z0 + slope * x, slope, context.size);
    const lower = depthAlongNormal(back, x, z0 + slope * x, slope, context.size);
    if (upper !== undefined && lower !== undefined) context.values.set(id, lower - upper);
  }
}

/**
 * Distance, mm, from the point (x, z) on the board line down its normal to the surface through `samples` on y = 0; undefined where the samples do not
 * surround the place.
 */
function depthAlongNormal(samples: Samples, x: number, z: number, slope: number, size: number): number | undefined {
  const cosine = 1 / Math.sqrt(1 + slope * slope);
  const sine = slope * cosine;
  const half = HALF_PATCH * size;
  const rows: number[] = [];
  let before = 0;
  let after = 0;
  for (let i = 0; i < samples.count; i++) {
    const dx = samples.xyz[3 * i] - x;
    const dz = samples.xyz[3 * i + 2] - z;
    const along = (cosine * dx + sine * dz) / half;
    if (Math.abs(along) >= 1) continue;
    rows.push(i, along, sine * dx - cosine * dz);
    before = Math.min(before, along);
    after = Math.max(after, along);
  }
  const n = rows.length / 3;
  if (n < 2 * COLUMNS || before > -REACH || after < REACH) return undefined;
  const design = new Float64Array(n * COLUMNS);
  const depth = new Float64Array(n);
  const weights = new Float64Array(n);
  for (let k = 0; k < n; k++) {
    const i = rows[3 * k];
    const u = rows[3 * k + 1];
    const y = samples.xyz[3 * i + 1] / (HALF_STRIP * size);
    design.set([1, u, u * u, y, u * y, y * y], k * COLUMNS);
    depth[k] = rows[3 * k + 2];
    // Falls to nothing at the patch's ends, so that no sample enters or leaves with a jump.
    weights[k] = samples.weight[i] * (1 - u * u) ** 2;
  }
  return linearLeastSquares(design, COLUMNS, depth, weights).coefficients[0];
}
