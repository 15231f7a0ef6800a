import type { Samples } from '../../geometry/samples.ts';
import { NormalEquations } from '../../numerics/normal-equations.ts';
import type { EvaluationContext, PartSamples } from '../family.ts';

/**
 * Where the extreme widths are looked for, shares of body length, and half the window of the cubic through them: outlines are drawn of arcs that change their radius
 * there, and over these windows a cubic follows such a change within 0.02 mm × size.
 */
const BOUTS = { widthUpper: [0.12, 0.3, 1, 0.03], widthWaist: [0.4, 0.54, -1, 0.02], widthLower: [0.7, 0.88, 1, 0.03] } as const;
/** Gaps longer than this, mm × size, are not bridged. */
const GAP = 9;
/** Crest is smoothed over this many stations before peak to valley is read: 30 mm × size of warp stays, noise of single stations goes. */
const SMOOTH = 7;

/** Widths and flatness of the edge, from datum samples in the instrument frame. */
export function evaluateBody(samples: PartSamples, context: EvaluationContext): void {
  widths(samples['datum.outlineBass'], samples['datum.outlineTreble'], context);
  flatness(samples['datum.crest'], context);
}

function widths(bass: Samples, treble: Samples, context: EvaluationContext): void {
  const { bodyLength, size } = context;
  const b = table(bass, size);
  const t = table(treble, size);
  for (const [id, [from, to, sign, window]] of Object.entries(BOUTS) as [keyof typeof BOUTS, readonly [number, number, 1 | -1, number]][]) {
    const xs: number[] = [];
    const ws: number[] = [];
    for (let x = (from - window) * bodyLength; x <= (to + window) * bodyLength; x += size) {
      const w = t(x) - b(x);
      if (Number.isNaN(w)) continue;
      xs.push(x);
      ws.push(w);
    }
    const value = extreme(xs, ws, sign, from * bodyLength, to * bodyLength, window * bodyLength, size);
    if (value !== undefined) context.values.set(id, value);
  }
}

/** y of an outline at x by linear interpolation; NaN in gaps. */
function table(s: Samples, size: number): (x: number) => number {
  let i = 0;
  return (x) => {
    if (s.count < 2) return NaN;
    if (s.xyz[3 * i] > x) i = 0;
    while (i + 2 < s.count && s.xyz[3 * (i + 1)] < x) i++;
    const [x0, x1] = [s.xyz[3 * i], s.xyz[3 * i + 3]];
    if (!(x0 <= x && x <= x1) || x1 - x0 > GAP * size) return NaN;
    return x1 > x0 ? s.xyz[3 * i + 1] + ((x - x0) / (x1 - x0)) * (s.xyz[3 * i + 4] - s.xyz[3 * i + 1]) : s.xyz[3 * i + 1];
  };
}

/** Extreme of a smooth function known at points: cubic through those near the extreme point, since an extreme of noisy points is biased; x in steps of `step`. */
function extreme(
  x: readonly number[],
  w: readonly number[],
  sign: 1 | -1,
  from: number,
  to: number,
  half: number,
  step: number,
): number | undefined {
  let best = -1;
  for (let i = 0; i < x.length; i++) if (x[i] >= from && x[i] <= to && (best < 0 || sign * w[i] > sign * w[best])) best = i;
  if (best < 0) return undefined;
  const reach = bridging(x, x[best], half, step);
  if (reach === undefined) return undefined;
  // Across a hole a cubic swings out; a parabola does not.
  const equations = new NormalEquations(reach > half ? 3 : 4);
  let n = 0;
  for (let i = 0; i < x.length; i++) {
    const d = (x[i] - x[best]) / reach;
    if (Math.abs(d) > 1) continue;
    equations.add(reach > half ? [1, d, d * d] : [1, d, d * d, d * d * d], w[i], 1);
    n++;
  }
  if (n < 12) return undefined;
  const [c0, c1, c2, c3 = 0] = equations.solve().coefficients;
  let value = -Infinity;
  for (let d = -0.6; d <= 0.6; d += 0.02) value = Math.max(value, sign * (c0 + d * (c1 + d * (c2 + d * c3))));
  return sign * value;
}

/** A jump beside the extreme that is a hole of the scan, in steps of the table. */
const HOLE_STEPS = 3;

/** A parabola follows an outline over this many half-widths of the usual window; a longer hole is not bridged. */
const MOST_BRIDGED = 2.6;

/** Half-width of the window about an extreme: wide enough to reach beyond a hole that it borders on, since the true extreme may lie in it; undefined beside a longer one. */
function bridging(x: readonly number[], at: number, half: number, step: number): number | undefined {
  let reach = half;
  for (let i = 1; i < x.length; i++) {
    if (x[i] - x[i - 1] > HOLE_STEPS * step && x[i - 1] < at + half && x[i] > at - half)
      reach = Math.max(reach, Math.max(x[i] - at, at - x[i - 1]) + half / 2);
  }
  return reach > MOST_BRIDGED * half ? undefined : reach;
}

/** Fewest stations of the crest for its flatness. */
const FEWEST_CREST = 20;
/** Flatness is that of the whole edge: both bouts must show it, on both sides; x as a share of body length. */
const UPPER_TO = 0.25;
const LOWER_FROM = 0.75;

function reachesRound(crest: Samples, bodyLength: number): boolean {
  const seen = new Set<string>();
  for (let i = 0; i < crest.count; i++) {
    const [x, side] = [crest.xyz[3 * i] / bodyLength, Math.sign(crest.xyz[3 * i + 1])];
    if (x < UPPER_TO) seen.add(`upper ${side}`);
    if (x > LOWER_FROM) seen.add(`lower ${side}`);
  }
  return seen.size === 4;
}

function flatness(crest: Samples, context: EvaluationContext): void {
  if (crest.count < FEWEST_CREST || !reachesRound(crest, context.bodyLength)) return;
  let square = 0;
  let weight = 0;
  for (let i = 0; i < crest.count; i++) {
    const z = crest.xyz[3 * i + 2];
    square += crest.weight[i] * z * z;
    weight += crest.weight[i];
  }
  // Noise raises both; by how much is found by repetition, and deducted there.
  context.values.set('edgeFlatnessRms', Math.sqrt(square / weight));
  let [low, high] = [Infinity, -Infinity];
  for (let i = 0; i + SMOOTH <= crest.count; i++) {
    let mean = 0;
    for (let k = 0; k < SMOOTH; k++) mean += crest.xyz[3 * (i + k) + 2] / SMOOTH;
    low = Math.min(low, mean);
    high = Math.max(high, mean);
  }
  context.values.set('edgeFlatnessPV', high - low);
}
