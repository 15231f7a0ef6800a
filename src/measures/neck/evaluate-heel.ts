import { linearLeastSquares } from '../../numerics/linear-least-squares.ts';
import type { EvaluationContext } from '../family.ts';
import type { Samples } from '../../geometry/samples.ts';

/** Shares of the heel's height between which its contour is measured. */
export const STRETCH_FROM = 0.15;
export const STRETCH_TO = 0.5;
/** The contour is fitted a little beyond the stretch, which steadies its ends; farther up it turns into the neck, farther down is the button. */
const FIT_FROM = 0.135;
const FIT_TO = 0.515;
/** Columns of the contour along the heel's height: degree 4. */
const ALONG = 5;
/**
 * Columns of its section across: y, yt, y², y²t, y²t², y³, y³t, y⁴, y⁴t, y⁴t². A heel widens upwards and its section is flatter in the middle than a parabola: without
 * the last ones the bow comes out 0.06 mm too small. A coarse scan carries the first four only.
 */
const ACROSS = 10;
const FEW_ACROSS = 4;
/** Samples a column below which the section is kept simple. */
const SAMPLES_A_COLUMN = 4;
/** mm × size. Half of the strip: scales the coordinate across. */
const HALF_STRIP = 4.5;
/** Points along the contour: the line and the deviation are then exact to a micrometre. */
const STATIONS = 41;
/** Columns of the button's outer face: degree 4 along x, 2 across. With few samples (a coarse scan) only the first of them: degree 2. */
const FACE_COLUMNS = 8;
const FEW_FACE_COLUMNS = 6;
/** Share of the height where the lower arrises are taken. */
const HALF = 0.5;
/** Samples beyond the columns without which a fit is not believed. */
const SPARE = 6;
/** Share of the height by which the samples may fall short of the stretch's ends. */
const SLACK = 0.03;

/**
 * Sets heelHeight, heelLean and heelBow from the button's face (or the one sample of its rim, where the face is not seen) and the heel's surface, where the board's lower arrises are known
 * (`shared`).
 */
export function evaluateHeel(button: Samples, heel: Samples, buttonEnd: number, context: EvaluationContext): void {
  const onlyRim = button.count === 1;
  if ((!onlyRim && button.count < FEW_FACE_COLUMNS + SPARE) || heel.count < ALONG + FEW_ACROSS + SPARE) return;
  const nearEnd = lowerArrisHeight(context, buttonEnd);
  if (nearEnd === undefined) return;
  const low = onlyRim ? button.xyz[2] : lowestOfFace(button, buttonEnd, context.size);
  let contour = fitContour(heel, low, nearEnd - low, context.size);
  if (contour === undefined) return;
  const height = (lowerArrisHeight(context, contour(HALF)) as number) - low;
  contour = fitContour(heel, low, height, context.size);
  if (contour === undefined) return;
  context.values.set('heelHeight', height);
  const z = new Float64Array(STATIONS);
  const x = new Float64Array(STATIONS);
  for (let k = 0; k < STATIONS; k++) {
    const share = STRETCH_FROM + ((STRETCH_TO - STRETCH_FROM) * k) / (STATIONS - 1);
    z[k] = low + share * height;
    x[k] = contour(share);
  }
  context.values.set('heelLean', leanOf(x, z));
  context.values.set('heelBow', bowOf(x, z));
}

/** Mean height of the board's two lower arrises at x; undefined without both. */
function lowerArrisHeight(context: EvaluationContext, x: number): number | undefined {
  let sum = 0;
  for (const side of ['bass', 'treble']) {
    const z0 = context.shared.get(`lowerArris.${side}.z0`);
    const slope = context.shared.get(`lowerArris.${side}.slope`);
    if (z0 === undefined || slope === undefined) return undefined;
    sum += z0 + slope * x;
  }
  return sum / 2;
}

/** Lowest height of the button's outer face on y = 0 at x ≤ 0, of a smooth surface through it. */
function lowestOfFace(face: Samples, end: number, size: number): number {
  let from = Infinity;
  let to = -Infinity;
  for (let i = 0; i < face.count; i++) {
    from = Math.min(from, face.xyz[3 * i]);
    to = Math.max(to, face.xyz[3 * i]);
  }
  const scaled = (x: number): number => (2 * x - from - to) / (to - from);
  const columns = face.count < 3 * FACE_COLUMNS ? FEW_FACE_COLUMNS : FACE_COLUMNS;
  const design = new Float64Array(face.count * columns);
  const z = new Float64Array(face.count);
  for (let i = 0; i < face.count; i++) {
    const t = scaled(face.xyz[3 * i]);
    const y = face.xyz[3 * i + 1] / (HALF_STRIP * size);
    design.set([1, t, t * t, y, y * t, y * y, t * t * t, t ** 4].slice(0, columns), i * columns);
    z[i] = face.xyz[3 * i + 2];
  }
  const c = linearLeastSquares(design, columns, z, face.weight).coefficients;
  let low = Infinity;
  for (let k = 0; k <= STATIONS; k++) {
    const t = scaled((Math.max(end, from) * (STATIONS - k)) / STATIONS);
    low = Math.min(low, c[0] + t * (c[1] + t * (c[2] + (columns === FACE_COLUMNS ? t * (c[6] + t * c[7]) : 0))));
  }
  return low;
}

/** x of the contour in y = 0 by share of the heel's height; undefined where the samples do not span the stretch. */
function fitContour(heel: Samples, low: number, height: number, size: number): ((share: number) => number) | undefined {
  const rows: number[] = [];
  let least = Infinity;
  let most = -Infinity;
  for (let i = 0; i < heel.count; i++) {
    const share = (heel.xyz[3 * i + 2] - low) / height;
    if (share < FIT_FROM || share > FIT_TO) continue;
    rows.push(i);
    least = Math.min(least, share);
    most = Math.max(most, share);
  }
  const columns = ALONG + (rows.length < SAMPLES_A_COLUMN * (ALONG + ACROSS) ? FEW_ACROSS : ACROSS);
  if (rows.length < columns + SPARE || least > STRETCH_FROM + SLACK || most < STRETCH_TO - SLACK) return undefined;
  const design = new Float64Array(rows.length * columns);
  const x = new Float64Array(rows.length);
  const weights = new Float64Array(rows.length);
  rows.forEach((i, k) => {
    const t = scaledShare((heel.xyz[3 * i + 2] - low) / height);
    const y = heel.xyz[3 * i + 1] / (HALF_STRIP * size);
    const yy = y * y;
    design.set(
      [1, t, t * t, t * t * t, t ** 4, y, y * t, yy, yy * t, yy * t * t, y * yy, y * yy * t, yy * yy, yy * yy * t, yy * yy * t * t].slice(
        0,
        columns,
      ),
      k * columns,
    );
    x[k] = heel.xyz[3 * i];
    weights[k] = heel.weight[i];
  });
  const c = linearLeastSquares(design, columns, x, weights).coefficients;
  return (share) => {
    const t = scaledShare(share);
    return c[0] + t * (c[1] + t * (c[2] + t * (c[3] + t * c[4])));
  };
}

const scaledShare = (share: number): number => (2 * share - FIT_FROM - FIT_TO) / (FIT_TO - FIT_FROM);

/** Angle (degrees) of the orthogonal least-squares line, even by arc length, to the z axis; positive when its top lies towards the scroll. */
function leanOf(x: Float64Array, z: Float64Array): number {
  const weights = arcWeights(x, z);
  let total = 0;
  let mx = 0;
  let mz = 0;
  for (let k = 0; k < x.length; k++) {
    total += weights[k];
    mx += weights[k] * x[k];
    mz += weights[k] * z[k];
  }
  mx /= total;
  mz /= total;
  let xx = 0;
  let xz = 0;
  let zz = 0;
  for (let k = 0; k < x.length; k++) {
    xx += weights[k] * (x[k] - mx) ** 2;
    xz += weights[k] * (x[k] - mx) * (z[k] - mz);
    zz += weights[k] * (z[k] - mz) ** 2;
  }
  return (-0.5 * Math.atan2(2 * xz, zz - xx) * 180) / Math.PI;
}

/** Length of contour that each point stands for. */
function arcWeights(x: Float64Array, z: Float64Array): Float64Array {
  const weights = new Float64Array(x.length);
  for (let k = 1; k < x.length; k++) {
    const half = Math.hypot(x[k] - x[k - 1], z[k] - z[k - 1]) / 2;
    weights[k - 1] += half;
    weights[k] += half;
  }
  return weights;
}

/** Deviation of greatest size from the chord, mm; positive towards the scroll (−x). */
function bowOf(x: Float64Array, z: Float64Array): number {
  const last = x.length - 1;
  const dx = x[last] - x[0];
  const dz = z[last] - z[0];
  const length = Math.hypot(dx, dz);
  let bow = 0;
  for (let k = 1; k < last; k++) {
    const d = ((z[k] - z[0]) * dx - (x[k] - x[0]) * dz) / length;
    if (Math.abs(d) > Math.abs(bow)) bow = d;
  }
  return bow;
}
