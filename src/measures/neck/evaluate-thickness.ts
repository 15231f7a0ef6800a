import { linearLeastSquares } from '../../numerics/linear-least-squares.ts';
import type { EvaluationContext } from '../family.ts';
import type { Samples } from '../../geometry/samples.ts';

/** Shares of the neck's length, from the nut, at which its thickness is measured. */
const AT_NUT = 0.15;
const AT_HEEL = 0.65;
/** mm × size. Half the length of the patch that is fitted round a station. */
const HALF_PATCH = 9;
/** mm × size. Half the width of the patch: beyond it the section of a neck's back is no parabola. */
const HALF_STRIP = 4.4;
/** 1, u, u², v, uv, v², v⁴ along and across: the round of a back is flatter in the middle than a parabola, or rounder. */
const COLUMNS = 7;
/** A patch must reach this far (share of its half length) to both sides of the station, or hold points nearer than that to it. */
const REACH = 0.3;
/** Samples must come this near to the middle (share of the half width): flanks alone do not tell how far the round between them stands out. */
const NEAR_MIDDLE = 0.4;

/** Sets neckThicknessNut and neckThicknessHeel from both faces of the neck, where board line and neck length are known (`shared`, `values`). */
export function evaluateThickness(board: Samples, back: Samples, context: EvaluationContext): void {
  const z0 = context.shared.get('boardLine.z0');
  const slope = context.shared.get('boardLine.slope');
  const nutX = context.shared.get('board.nutX');
  if (z0 === undefined || slope === undefined || nutX === undefined) return;
  // The thickness is that on the neck's own middle; a neck may stand a millimetre or two beside the body's.
  const centre = context.shared.get('boardCentre.y0') ?? 0;
  const centreSlope = context.shared.get('boardCentre.slope') ?? 0;
  for (const [id, share] of [
    ['neckThicknessNut', AT_NUT],
    ['neckThicknessHeel', AT_HEEL],
  ] as const) {
    // The neck's length runs along the board line from the nut to x = 0: shares of it are shares of x.
    const x = nutX * (1 - share);
    const place = { x, y: centre + centreSlope * x, z: z0 + slope * x, slope };
    const upper = depthAlongNormal(board, place, context.size);
    const lower = depthAlongNormal(back, place, context.size);
    if (upper !== undefined && lower !== undefined) context.values.set(id, lower - upper);
  }
}

/** A place on the board line, mm, and the line's slope dz/dx. */
interface Place {
  readonly x: number;
  readonly y: number;
  readonly z: number;
  readonly slope: number;
}

/** Distance, mm, from a place on the board line down its normal to the surface through `samples`; undefined where the samples do not surround it. */
function depthAlongNormal(samples: Samples, { x, y, z, slope }: Place, size: number): number | undefined {
  const cosine = 1 / Math.sqrt(1 + slope * slope);
  const sine = slope * cosine;
  const half = HALF_PATCH * size;
  const rows: number[] = [];
  let before = 0;
  let after = 0;
  let nearest = 1;
  for (let i = 0; i < samples.count; i++) {
    const dx = samples.xyz[3 * i] - x;
    const dz = samples.xyz[3 * i + 2] - z;
    const along = (cosine * dx + sine * dz) / half;
    const across = (samples.xyz[3 * i + 1] - y) / (HALF_STRIP * size);
    if (Math.abs(along) >= 1 || Math.abs(across) >= 1) continue;
    rows.push(i, along, across, sine * dx - cosine * dz);
    before = Math.min(before, along);
    after = Math.max(after, along);
    nearest = Math.min(nearest, Math.abs(across));
  }
  const n = rows.length / 4;
  if (n < 2 * COLUMNS || before > -REACH || after < REACH || nearest > NEAR_MIDDLE) return undefined;
  const design = new Float64Array(n * COLUMNS);
  const depth = new Float64Array(n);
  const weights = new Float64Array(n);
  for (let k = 0; k < n; k++) {
    const u = rows[4 * k + 1];
    const v = rows[4 * k + 2];
    design.set([1, u, u * u, v, u * v, v * v, v ** 4], k * COLUMNS);
    depth[k] = rows[4 * k + 3];
    // Falls to nothing at the patch's ends, so that no sample enters or leaves with a jump.
    weights[k] = samples.weight[rows[4 * k]] * ((1 - u * u) * (1 - v * v)) ** 2;
  }
  return linearLeastSquares(design, COLUMNS, depth, weights).coefficients[0];
}
