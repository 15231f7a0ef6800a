import { compose, identity, type Motion, motionFromAxes } from '../geometry/motion.ts';
import type { Samples } from '../geometry/samples.ts';
import { cross, unit } from '../geometry/vec3.ts';
import { NormalEquations } from '../numerics/normal-equations.ts';
import type { DatumSamples } from './datum-samples.ts';
import { acrossRow } from './joint-outline.ts';

/** The datums in the working frame: the motion into the instrument frame, and which of its parts rest on what the scan shows. */
export interface Datums {
  readonly motion: Motion;
  /** x = 0 rests on the neck root and the outline beside it; otherwise on nothing better than the search. */
  readonly hasJoint: boolean;
  /** Working-frame x of where the outline meets the root, bass and treble. */
  readonly jointBass: number;
  readonly jointTreble: number;
}

/** Ranges of the centreline's mid-points, shares of body length from the joint, and their spacing, mm (measurands.md). */
const RANGES: readonly (readonly [number, number])[] = [
  [0.1, 0.3],
  [0.7, 0.9],
];
const MIDPOINT_STEP = 1;

/**
 * Datums A (plane through the crest, least squares by length), B (line through the mid-points of the outline's width), C (mean x of the outline at the sides
 * of the neck root), from samples alone. Fast: run for every simulated repetition.
 */
export function datums(s: DatumSamples, bodyLength: number): Datums {
  const level = crestPlane(s.crest);
  const bass = placed(s.outlineBass, level);
  const treble = placed(s.outlineTreble, level);
  // Heights and widths hardly depend on where x = 0 lies exactly; the ranges of B do, by a few tenths: one repetition settles them.
  let centre = centreline(bass, treble, 0, bodyLength);
  let joint = jointOf(s, compose(centre, level));
  if (joint !== undefined) {
    centre = centreline(bass, treble, joint.x, bodyLength);
    joint = jointOf(s, compose(centre, level));
  }
  const motion = compose(centre, level);
  if (joint === undefined) return { motion, hasJoint: false, jointBass: NaN, jointTreble: NaN };
  motion[3] -= joint.x;
  return { motion, hasJoint: true, jointBass: joint.bass - joint.x, jointTreble: joint.treble - joint.x };
}

/** z = c + a x + b y by least squares along z: the tilt is so small that orthogonal and vertical distances agree to 1e-6. */
function crestPlane(crest: Samples): Motion {
  const equations = new NormalEquations(3);
  const row = new Float64Array(3);
  for (let i = 0; i < crest.count; i++) {
    row[0] = 1;
    row[1] = crest.xyz[3 * i];
    row[2] = crest.xyz[3 * i + 1];
    equations.add(row, crest.xyz[3 * i + 2], crest.weight[i]);
  }
  const [c, a, b] = equations.solve().coefficients;
  const z = unit([-a, -b, 1]);
  const x = unit([1, 0, a]);
  return motionFromAxes(x, cross(z, x), z, [0, 0, c]);
}

/** x and y of samples in a frame. */
function placed(s: Samples, m: Motion): Placed {
  const x = new Float64Array(s.count);
  const y = new Float64Array(s.count);
  for (let i = 0; i < s.count; i++) {
    const [px, py, pz] = [s.xyz[3 * i], s.xyz[3 * i + 1], s.xyz[3 * i + 2]];
    x[i] = m[0] * px + m[1] * py + m[2] * pz + m[3];
    y[i] = m[4] * px + m[5] * py + m[6] * pz + m[7];
  }
  return { x, y };
}

/** The motion in the plane that makes the bisector of the outline the x axis; x of the joint stays where it is. */
function centreline(bass: Placed, treble: Placed, joint: number, bodyLength: number): Motion {
  const equations = new NormalEquations(2);
  const row = new Float64Array(2);
  const widest = LONGEST_GAP * bodyLength;
  for (const [from, to] of rangesSeen(bass, treble, joint, bodyLength)) {
    const atBass = interpolator(bass.x, bass.y, widest);
    const atTreble = interpolator(treble.x, treble.y, widest);
    for (let x = joint + from * bodyLength; x <= joint + to * bodyLength; x += MIDPOINT_STEP) {
      const middle = (atBass(x) + atTreble(x)) / 2;
      if (Number.isNaN(middle)) continue;
      row[0] = 1;
      row[1] = x;
      equations.add(row, middle, 1);
    }
  }
  const [y0, slope] = equations.solve().coefficients;
  const x = unit([1, slope, 0]);
  return motionFromAxes(x, [-x[1], x[0], 0], [0, 0, 1], [0, y0, 0]);
}

/** Where the centreline's mid-points should lie and where those lie that it is found from: x, mm, of the working frame. */
export interface MidpointPlaces {
  readonly wanted: readonly number[];
  readonly used: readonly number[];
  /** Both bouts are seen, so that the mid-points come from the stretches that the definition names. */
  readonly asDefined: boolean;
}

/** @param step  spacing of the places, mm */
export function midpointPlaces(outlineBass: Samples, outlineTreble: Samples, bodyLength: number, step: number): MidpointPlaces {
  const [bass, treble] = [placed(outlineBass, identity()), placed(outlineTreble, identity())];
  const widest = LONGEST_GAP * bodyLength;
  const ranges = rangesSeen(bass, treble, 0, bodyLength);
  const along = (all: typeof RANGES): number[] =>
    all.flatMap(([from, to]) =>
      Array.from({ length: Math.ceil(((to - from) * bodyLength) / step) }, (_, k) => from * bodyLength + (k + 0.5) * step),
    );
  const [b, t] = [interpolator(bass.x, bass.y, widest), interpolator(treble.x, treble.y, widest)];
  return {
    wanted: along(RANGES),
    used: along(ranges).filter((x) => !Number.isNaN(b(x) + t(x))),
    asDefined: ranges === RANGES,
  };
}

/** Mid-points that a bout needs to count, of about 71. */
const FEWEST_MIDPOINTS = 8;
const ANYWHERE: readonly (readonly [number, number])[] = [[0.06, 0.94]];

/** The stretches of the definition; one bout alone gives no direction: then whatever both sides show must do. */
function rangesSeen(bass: Placed, treble: Placed, joint: number, bodyLength: number): typeof RANGES {
  const widest = LONGEST_GAP * bodyLength;
  const seen = RANGES.map(([from, to]) => countMidpoints(bass, treble, joint + from * bodyLength, joint + to * bodyLength, widest));
  return Math.min(...seen) >= FEWEST_MIDPOINTS ? RANGES : ANYWHERE;
}

function countMidpoints(bass: Placed, treble: Placed, from: number, to: number, widest: number): number {
  const [b, t] = [interpolator(bass.x, bass.y, widest), interpolator(treble.x, treble.y, widest)];
  let n = 0;
  for (let x = from; x <= to; x += MIDPOINT_STEP) if (!Number.isNaN(b(x) + t(x))) n++;
  return n;
}

interface Placed {
  readonly x: Float64Array;
  readonly y: Float64Array;
}

/** Gaps in the outline longer than this are unseen, share of body length. */
const LONGEST_GAP = 0.03;

/** Linear interpolation in a table by rising x, asked at rising x; NaN in gaps. */
function interpolator(x: Float64Array, y: Float64Array, longestGap: number): (at: number) => number {
  let i = 0;
  return (at) => {
    while (i + 2 < x.length && x[i + 1] < at) i++;
    const gap = x[i + 1] - x[i];
    if (!(x[i] <= at && at <= x[i + 1]) || gap > longestGap) return NaN;
    return gap > 0 ? y[i] + ((at - x[i]) / gap) * (y[i + 1] - y[i]) : y[i];
  };
}

/** Fewest samples for the outline beside the neck and for a side of its root. */
const FEWEST_BESIDE = 5;
const FEWEST_ROOT = 2;

function jointOf(s: DatumSamples, m: Motion): { x: number; bass: number; treble: number } | undefined {
  const outline = placed(s.besideNeck, m);
  const curves = [outlineBeside(outline, -1), outlineBeside(outline, 1)];
  const roots = [rootLine(placed(s.rootBass, m)), rootLine(placed(s.rootTreble, m))];
  if ((curves[0] ?? curves[1]) === undefined || (roots[0] ?? roots[1]) === undefined) return undefined;
  // A side that is not seen mirrors the other: a root is cut symmetrical to a few tenths, and the outline runs across there.
  const rootHalf = (k: 0 | 1) => roots[k] ?? (roots[1 - k] as RootLine);
  const curve = (k: 0 | 1) => curves[k] ?? (curves[1 - k] as Float64Array);
  const bass = meet(curve(0), rootHalf(0));
  const treble = meet(curve(1), rootHalf(1));
  return { x: (bass + treble) / 2, bass, treble };
}

/** |y| = y0 + slope·x of a root side. */
type RootLine = readonly [number, number];

function rootLine(side: Placed): RootLine | undefined {
  const n = side.x.length;
  if (n < FEWEST_ROOT) return undefined;
  let [mx, my, xx, xy] = [0, 0, 0, 0];
  for (let i = 0; i < n; i++) {
    mx += side.x[i] / n;
    my += Math.abs(side.y[i]) / n;
  }
  for (let i = 0; i < n; i++) {
    xx += (side.x[i] - mx) ** 2;
    xy += (side.x[i] - mx) * (Math.abs(side.y[i]) - my);
  }
  const slope = xx > 1e-6 ? xy / xx : 0;
  return [my - slope * mx, slope];
}

/** x = c0 + c2 y² + c4 y⁴ of the outline beside the neck on one side. */
function outlineBeside(o: Placed, side: 1 | -1): Float64Array | undefined {
  const equations = new NormalEquations(3);
  let n = 0;
  for (let i = 0; i < o.x.length; i++) {
    if (side * o.y[i] < 0) continue;
    equations.add(acrossRow(o.y[i]), o.x[i], 1);
    n++;
  }
  return n < FEWEST_BESIDE ? undefined : equations.solve().coefficients;
}

function meet(curve: Float64Array, line: RootLine): number {
  let x = 0;
  for (let k = 0; k < 4; k++) {
    const y = line[0] + line[1] * x;
    x = acrossRow(y).reduce((sum, v, i) => sum + v * curve[i], 0);
  }
  return x;
}
