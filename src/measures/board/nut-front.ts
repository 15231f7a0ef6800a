import { median } from '../../numerics/statistics.ts';
import type { Workpiece } from '../family.ts';
import { SampleList, type Samples } from '../../geometry/samples.ts';
import type { BoardPoints } from './board-points.ts';
import type { Height } from './playing-surface.ts';

/** What the search for an edge across the board starts from. Working frame, mm. */
export interface EdgePlace {
  readonly x: number;
  /** y of the board's centreline there, and the half-width within which points are looked at. */
  readonly centre: number;
  readonly half: number;
}

/** The nut's profile: a top that rises by `slope` towards the scroll from the height `step`, and a front that falls to the board over `width` about x; mm. */
interface Profile extends Top {
  readonly x: number;
  readonly width: number;
  readonly cost: number;
}

interface Top {
  readonly step: number;
  readonly slope: number;
}

interface Strip {
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly h: Float64Array;
}

/** Reach of the search before and beyond the rough place, mm × size (a nut's far side falls off), and the two stretches of the nut's top, one behind the other, that give height and slope. */
const REACH = { before: 2.6, beyond: 3 } as const;
const TOP = 1.2;
/** Depth below the playing surface down to which points count, mm × size: what lies deeper is not seen from above. */
const BELOW = 0.2;
/** How far the front may lie from its rough place, mm × size and in spacings. */
const SHIFT = 1.6;
/** Widths of the front tried, mm × size: from a sharp step to what a coarse scan makes of it. */
const WIDTHS = [0.1, 0.3, 0.6] as const;
const COARSE_STEP = 0.1;
const FINE_STEP = 0.02;
const FINE_REACH = 0.6;
/** Lowest step that counts as a nut, mm × size and in sigma. */
const LEAST_STEP = 0.15;
const STEP_NOISE = 2;
/** A point's misfit is clipped at this many sigma or mm × size, the same for every profile tried: strings and webs do not pull. */
const CLIP_NOISE = 3;
const CLIP = 0.12;
/** Share of the step, from its foot, in which heights count: a nut's upper edge is rounded. */
const COUNTED = 0.75;
/** Points this close before the front, mm × size, lie on its face or its rounded edge: they do not tell the top's height. */
const FACE = 0.3;
/** Standard uncertainty of a nut's place told by bins alone, mm × size. */
const ROUGH_U = 0.7;
const CUT_OFF_U = 2.5;
/** Width of a column that a string may block, mm × size; where strings are looked for: beyond the front, and over the board. */
const COLUMN = 0.8;
const STANDING = { near: 1.2, far: 8, from: 0.15, to: 2.5 } as const;
const MOST_BLOCKED = 0.75;
/** Standard uncertainty of a strip's edge that no scatter shows, mm × size: how its foot runs into the board. */
const LEAST_U = 0.03;
/** Strips across the board, each with its own edge, and the fewest that make a line. */
const STRIPS = 7;
const POINTS_PER_STRIP = 16;
const LEAST_STRIPS = 3;
const LEAST_POINTS = 8;
/** Share of the points just before and just beyond the front that must lie above and below half the step, within the stretches given, mm × size. */
const LEAST_PARTED = 0.7;
const PARTED = { from: 0.2, to: 1.3 } as const;

/**
 * The nut's front edge: the step that best explains the heights over the playing surface, first for the whole width, then strip by strip.
 *
 * @returns samples with normals along x, or `undefined` when no step is seen
 */
export function findNutFront(points: BoardPoints, work: Workpiece, rough: EdgePlace, height: Height): Samples | undefined {
  const { size } = work;
  // Steps of the search lie where the frame has them, not where the rough place's bins happened to: another unit must not shift them.
  const place = { ...rough, x: Math.round(rough.x / (COARSE_STEP * size)) * COARSE_STEP * size };
  const near = collect(points, work, place, height);
  const shift = Math.max(SHIFT * size, 1.5 * work.spacing);
  const whole = bestProfile(
    near,
    work,
    { from: place.x - shift, to: place.x + shift, step: COARSE_STEP * size },
    WIDTHS.map((w) => w * size),
  );
  if (whole === undefined || whole.step < Math.max(LEAST_STEP * size, STEP_NOISE * work.sigma)) return undefined;
  if (!partsHeights(near, work, whole)) return undefined;
  return stripSamples(near, work, place, finestProfile(near, work, whole), height);
}

function collect(points: BoardPoints, work: Workpiece, place: EdgePlace, height: Height): Strip {
  const from = place.x - Math.max(REACH.before * work.size, 2.5 * work.spacing);
  const to = place.x + Math.max(REACH.beyond * work.size, 3 * work.spacing);
  const blocked = underStrings(points, work, place, height);
  const found: number[] = [];
  const heights: number[] = [];
  for (let i = 0; i < points.count; i++) {
    if (blocked.has(Math.floor(points.y[i] / (COLUMN * work.size)))) continue;
    if (points.x[i] < from || points.x[i] > to || Math.abs(points.y[i] - place.centre) > place.half) continue;
    const h = points.z[i] - height(points.x[i], points.y[i]);
    if (h > 2 * work.size + 4 * work.sigma || h < -BELOW * work.size - 3 * work.sigma) continue;
    found.push(i);
    heights.push(h);
  }
  return {
    x: Float64Array.from(found, (i) => points.x[i]),
    y: Float64Array.from(found, (i) => points.y[i]),
    h: Float64Array.from(heights),
  };
}

/**
 * The nut's front where its step is seen but too coarsely for its edge: three samples across at its rough place.
 *
 * @param seen  whether the nut stands up there, or the scan only goes on lower: facets as long as a nut cut it off, and its front may lie that far away
 * @param z  height of the playing surface at x, y, mm
 */
export function roughNutFront(work: Workpiece, place: EdgePlace, seen: 'rises' | 'drops', z: Height): Samples {
  const list = new SampleList();
  const blunt = seen === 'rises' ? ROUGH_U : CUT_OFF_U;
  // One error is common to all three samples, so each gets √3 times it.
  const u = Math.sqrt(3) * Math.max(blunt * work.size, 0.8 * work.spacing);
  for (const t of [-1, 0, 1]) {
    const y = place.centre + (t * place.half) / 2;
    list.add(place.x, y, z(place.x, y), 1, 0, 0, u, place.half / 2);
  }
  return list.samples();
}

/** Columns along the board over which something stands close to the nut: strings, and webs under them. None, when that would leave little. */
function underStrings(points: BoardPoints, work: Workpiece, place: EdgePlace, height: Height): ReadonlySet<number> {
  const { size } = work;
  const least = STANDING.from * size + 3 * work.sigma;
  const blocked = new Set<number>();
  for (let i = 0; i < points.count; i++) {
    const ahead = points.x[i] - place.x;
    if (ahead < STANDING.near * size || ahead > STANDING.far * size || Math.abs(points.y[i] - place.centre) > place.half) continue;
    const h = points.z[i] - height(points.x[i], points.y[i]);
    if (h > least && h < STANDING.to * size) blocked.add(Math.floor(points.y[i] / (COLUMN * size)));
  }
  return blocked.size * COLUMN * size > MOST_BLOCKED * 2 * place.half ? new Set() : blocked;
}

function bestProfile(
  s: Strip,
  work: Workpiece,
  range: { from: number; to: number; step: number },
  widths: readonly number[],
): Profile | undefined {
  let best: Profile | undefined;
  for (let x = range.from; x <= range.to; x += range.step) {
    const top = topOfNut(s, work, x);
    if (top === undefined || top.step <= 0) continue;
    for (const width of widths) {
      const profile = { ...top, x, width };
      const cost = misfit(s, work, profile, 1);
      if (cost < (best?.cost ?? Number.POSITIVE_INFINITY)) best = { ...profile, cost };
    }
  }
  return best;
}

/** Height of the nut's top at its front edge x, and its slope: medians over two stretches. */
function topOfNut(s: Strip, work: Workpiece, x: number): Top | undefined {
  const reach = Math.max(TOP * work.size, work.spacing);
  const front: number[] = [];
  const behind: number[] = [];
  for (let i = 0; i < s.x.length; i++) {
    const back = x - FACE * work.size - s.x[i];
    if (back > 0 && back < reach) front.push(s.h[i]);
    else if (back >= reach && back < 2 * reach) behind.push(s.h[i]);
  }
  if (front.length < LEAST_POINTS / 2) return undefined;
  const height = median(front);
  const slope = behind.length < LEAST_POINTS / 2 ? 0 : (median(behind) - height) / reach;
  return { step: height - slope * (reach / 2 + FACE * work.size), slope };
}

/** The front between foot and `COUNTED` of the step, its height kept. */
function finestProfile(s: Strip, work: Workpiece, whole: Profile): Profile {
  let best = { ...whole, cost: Number.POSITIVE_INFINITY };
  for (let x = whole.x - FINE_REACH * work.size; x <= whole.x + FINE_REACH * work.size; x += FINE_STEP * work.size) {
    for (const width of WIDTHS) {
      const profile = { ...whole, x, width: width * work.size };
      const cost = misfit(s, work, profile, COUNTED);
      if (cost < best.cost) best = { ...profile, cost };
    }
  }
  return best;
}

/** Most that a single point adds to a misfit, mm². */
const clipOf = (work: Workpiece): number => Math.max(CLIP_NOISE * work.sigma, CLIP * work.size) ** 2;

/**
 * Sum of clipped squares of what the profile leaves, mm²; the nut's far side is not looked at.
 *
 * @param counted  share of the step, from its foot, in which heights count
 */
function misfit(s: Strip, work: Workpiece, profile: Omit<Profile, 'cost'>, counted: number): number {
  const { x, width, step, slope } = profile;
  const clip = clipOf(work);
  let sum = 0;
  for (let i = 0; i < s.x.length; i++) {
    const back = x - s.x[i];
    const ramp = Math.min(1, Math.max(0, back / width + 0.5));
    const top = counted * (step + slope * Math.max(0, back));
    const r = (counted < 1 ? Math.min(s.h[i], top) : s.h[i]) - ramp * top;
    sum += Math.min(r * r, clip);
  }
  return sum;
}

/** Whether most points before the front stand up and most beyond it lie flat. */
function partsHeights(s: Strip, work: Workpiece, profile: Profile): boolean {
  const to = Math.max(PARTED.to * work.size, 1.5 * work.spacing);
  const before = [0, 0];
  const beyond = [0, 0];
  for (let i = 0; i < s.x.length; i++) {
    const ahead = s.x[i] - profile.x;
    if (Math.abs(ahead) < PARTED.from * work.size || Math.abs(ahead) > to) continue;
    (ahead < 0 ? before : beyond)[s.h[i] > profile.step / 2 ? 1 : 0]++;
  }
  return before[1] > LEAST_PARTED * (before[0] + before[1]) && beyond[0] > LEAST_PARTED * (beyond[0] + beyond[1]);
}

/** Each strip keeps height and width of the whole and finds its own x; what the strips scatter about a line is their uncertainty. */
function stripSamples(near: Strip, work: Workpiece, place: EdgePlace, whole: Profile, height: Height): Samples | undefined {
  const strips = Math.max(LEAST_STRIPS, Math.min(STRIPS, Math.floor(near.x.length / POINTS_PER_STRIP)));
  const width = (2 * place.half) / strips;
  const edges: { x: number; y: number }[] = [];
  const reach = Math.max(0.8 * work.size, 1.3 * work.spacing);
  for (let k = 0; k < strips; k++) {
    const from = place.centre - place.half + k * width;
    const inside = Array.from(near.y.keys()).filter((i) => near.y[i] >= from && near.y[i] < from + width);
    if (inside.length < LEAST_POINTS) continue;
    const strip = { x: Float64Array.from(inside, (i) => near.x[i]), y: near.y, h: Float64Array.from(inside, (i) => near.h[i]) };
    const own = flatMiddle(strip, work, whole, reach);
    if (own !== undefined) edges.push({ x: own, y: from + width / 2 });
  }
  return edgeSamples(edges, work, width, (x, y) => height(x, y) + (COUNTED * whole.step) / 2, LEAST_U * work.size + 0.1 * work.spacing);
}

/** The middle of the stretch over which a strip's misfit is at its least: between two rows of points every place fits equally well. */
function flatMiddle(strip: Strip, work: Workpiece, whole: Profile, reach: number): number | undefined {
  const step = FINE_STEP * work.size;
  const count = Math.round(reach / step);
  const costs = Array.from({ length: 2 * count + 1 }, (_, k) =>
    misfit(strip, work, { ...whole, x: whole.x + (k - count) * step }, COUNTED),
  );
  const at = nearestMinimum(costs, count, clipOf(work));
  const level = costs[at] + 0.5 * work.sigma * work.sigma;
  let from = at;
  let to = at;
  while (from > 0 && costs[from - 1] <= level) from--;
  while (to < 2 * count && costs[to + 1] <= level) to++;
  return from === 0 || to === 2 * count ? undefined : whole.x + ((from + to) / 2 - count) * step;
}

/**
 * The place of least cost; of several that one point more or less would tell apart, the nearest to the middle. A strip of a coarse scan holds a dozen points, and where it alone
 * would have the front hangs on single ones, which the whole width has outvoted.
 *
 * @param onePoint  most that a single point adds to a cost
 */
function nearestMinimum(costs: readonly number[], middle: number, onePoint: number): number {
  const worst = Math.min(...costs) + onePoint;
  const isMinimum = (k: number): boolean =>
    costs[k] <= worst && costs[k] <= (costs[k - 1] ?? Infinity) && costs[k] <= (costs[k + 1] ?? Infinity);
  const minima = Array.from(costs.keys()).filter(isMinimum);
  return minima.reduce((best, k) => (Math.abs(k - middle) < Math.abs(best - middle) ? k : best));
}

/** Strips further than this from the common line are left out, robust standard deviations. */
const OUTLIER = 3;
/** Length over which the board's slope is taken, mm × size. */
const SLOPE_STEP = 5;

/**
 * Robust edge across the board. The edge of a cut square to the board follows its crown, so places are compared as they lie along the board;
 * those near their common line become samples, each as uncertain as they scatter.
 *
 * @param z  height of the edge at x, y, mm
 * @param leastU  standard uncertainty below which none is believed, mm
 */
export function edgeSamples(
  edges: readonly { y: number; x: number }[],
  work: Workpiece,
  width: number,
  z: Height,
  leastU: number,
): Samples | undefined {
  if (edges.length < LEAST_STRIPS) return undefined;
  const { x, y } = edges[0];
  const rise = (z(x + SLOPE_STEP * work.size, y) - z(x, y)) / (SLOPE_STEP * work.size);
  const along = edges.map((e) => e.x + rise * z(x, e.y));
  const skew = median(edges.flatMap((a, i) => edges.slice(i + 1).map((b, k) => (along[i + 1 + k] - along[i]) / (b.y - a.y))));
  const square = along.map((v, i) => v - skew * edges[i].y);
  const centre = median(square);
  const scatter = Math.max(1.4826 * median(square.map((v) => Math.abs(v - centre))), 0.05 * work.spacing, 0.5 * work.sigma);
  const list = new SampleList();
  edges.forEach((e, i) => {
    if (Math.abs(square[i] - centre) <= OUTLIER * scatter) list.add(e.x, e.y, z(e.x, e.y), 1, 0, 0, Math.max(scatter, leastU), width);
  });
  return list.count >= LEAST_STRIPS ? list.samples() : undefined;
}
