import { fitPolynomial } from '../../fits/polynomial.ts';
import { mad, quantile } from '../../numerics/statistics.ts';
import type { Workpiece } from '../family.ts';
import { fitRobustSurface } from '../fit-robust-surface.ts';
import { pointsInBox } from '../points-in-box.ts';

/** One edge of an f-hole's stem in plan, without its notch. Across the body |y| is used: both sides then look alike. Working frame, mm. */
export interface StemEdge {
  /** |y| of the edge and its slope, between `from` and `to`. */
  readonly value: (x: number) => number;
  readonly slope: (x: number) => number;
  readonly from: number;
  readonly to: number;
  /** −1: the plate lies at smaller |y| (the edge towards the middle of the top), 1: at greater. */
  readonly plateSide: -1 | 1;
  /** Points of the plate and of the hole's walls near the edge: (x of the foot on the edge, distance into the plate) pairs by x. */
  readonly points: Float64Array;
}

/** The stem of one f-hole. */
export interface Stem {
  /** −1 bass, 1 treble. */
  readonly side: -1 | 1;
  readonly inner: StemEdge;
  readonly outer: StemEdge;
  /** Median width, mm. */
  readonly width: number;
  /** Height of the top's surface. */
  readonly top: (x: number, y: number) => number;
}

/** Shares of the body's length between which the middle of the stem lies: notches stand at 0.51 to 0.58. */
const FROM = 0.455;
const TO = 0.645;
/** mm × size. Distance of stems from the centreline. */
const NEAREST = 16;
const FARTHEST = 62;
/** mm × size. Heights of the top there: channel … arching. */
const LOWEST = -5;
const HIGHEST = 26;
/** mm × size. Beyond these the points are no longer those of the plate or its walls: bridge above, bars and back below. */
const ABOVE = 1.2;
const BELOW = 4.5;
/** mm × size. Width of the strips in which gaps are looked for, and of the least and greatest gap that may be a stem. */
const STRIP = 1.2;
const NARROWEST = 1.4;
const WIDEST = 9;
/** Spacings of points: strips and gaps below these are not told from the gaps between points. */
const STRIP_SPACINGS = 1.6;
const GAP_SPACINGS = 1.25;
/** Slope dy/dx of a stem, outwards towards the tail. */
const LEAST_SLOPE = -0.05;
const GREATEST_SLOPE = 0.55;
/** mm × size. How far a strip's gap may be from the straight line first drawn along the stem: stems are a little S-shaped. */
const REACH = 1.1;
/** Share of the strips that must show the gap. */
const LEAST_SHARE = 0.55;
/** Points for the rough surface of the top, at most. */
const ENOUGH = 1200;
/** mm × size. Strip along the edge whose points are kept, into the plate and into the hole. */
const INTO_PLATE = 6;

interface Gap {
  readonly x: number;
  readonly inner: number;
  readonly outer: number;
}

/** @returns a reason where the side's f-hole is not seen as an opening */
export function findStem(work: Workpiece, side: -1 | 1): Stem | string {
  const { cloud, size, bodyLength } = work;
  const p = cloud.positions;
  const y = side < 0 ? ([-FARTHEST * size, -NEAREST * size] as const) : ([NEAREST * size, FARTHEST * size] as const);
  const box = { x: [FROM * bodyLength, TO * bodyLength], y, z: [LOWEST * size, HIGHEST * size] } as const;
  const ids = pointsInBox(cloud, box);
  const step = Math.max(1, Math.floor(ids.length / ENOUGH));
  const some = ids.filter((i, k) => k % step === 0 && Math.abs(cloud.normals[3 * i + 2]) > 0.8);
  const top = fitRobustSurface(cloud, some, { out: 2, a: 0, b: 1, degreeA: 3, degreeB: 4, total: 4 }, 0.15 * size);
  if (top === undefined) return 'the top beside the bridge is not in the scan';
  const plate = ids.filter((i) => {
    const above = p[3 * i + 2] - top.fit.value(p[3 * i], p[3 * i + 1]);
    return above < ABOVE * size && above > -BELOW * size;
  });
  const plan = Float64Array.from({ length: 2 * plate.length }, (_, k) =>
    k % 2 === 0 ? p[3 * plate[k >> 1]] : side * p[3 * plate[k >> 1] + 1],
  );
  const strip = Math.max(STRIP * size, STRIP_SPACINGS * work.spacing);
  const gaps = gapsByStrip(plan, strip, Math.max(NARROWEST * size, GAP_SPACINGS * work.spacing), WIDEST * size);
  const strips = Math.floor(((TO - FROM) * bodyLength) / strip);
  const line = stemLine(gaps, REACH * size + 0.3 * work.spacing);
  if (line === undefined || line.gaps.length < LEAST_SHARE * strips) return 'no opening of an f-hole is seen';
  const width = quantile(
    line.gaps.map((g) => g.outer - g.inner),
    0.5,
  );
  const inner = edgeAlong(work, plan, width, line.gaps, -1);
  const outer = edgeAlong(work, plan, width, line.gaps, 1);
  if (inner === undefined || outer === undefined) return 'no opening of an f-hole is seen';
  return { side, inner, outer, width, top: top.fit.value };
}

/** Stretches along |y| without points, in strips across the body. */
function gapsByStrip(plan: Float64Array, strip: number, least: number, most: number): Gap[] {
  const strips = new Map<number, number[]>();
  for (let k = 0; k < plan.length; k += 2) {
    const s = Math.floor(plan[k] / strip);
    const members = strips.get(s);
    if (members === undefined) strips.set(s, [plan[k + 1]]);
    else members.push(plan[k + 1]);
  }
  const gaps: Gap[] = [];
  for (const [s, across] of [...strips].sort((a, b) => a[0] - b[0])) {
    across.sort((a, b) => a - b);
    for (let k = 1; k < across.length; k++) {
      const width = across[k] - across[k - 1];
      if (width >= least && width <= most) gaps.push({ x: (s + 0.5) * strip, inner: across[k - 1], outer: across[k] });
    }
  }
  return gaps;
}

/** The straight line along which most strips have the inner side of a gap, and those gaps (one a strip). */
function stemLine(gaps: readonly Gap[], reach: number): { readonly gaps: Gap[] } | undefined {
  const byStrip = new Map<number, Gap[]>();
  for (const gap of gaps) byStrip.set(gap.x, [...(byStrip.get(gap.x) ?? []), gap]);
  const strips = [...byStrip.values()];
  let best = { score: 0, slope: 0, from: undefined as Gap | undefined };
  for (let i = 0; i < gaps.length; i++) {
    for (let j = i + 1; j < gaps.length; j++) {
      const dx = gaps[j].x - gaps[i].x;
      if (dx < 8 * reach) continue;
      const slope = (gaps[j].inner - gaps[i].inner) / dx;
      if (slope < LEAST_SLOPE || slope > GREATEST_SLOPE) continue;
      let score = 0;
      for (const strip of strips) score += bestOf(strip, gaps[i], slope, reach).score;
      if (score > best.score) best = { score, slope, from: gaps[i] };
    }
  }
  const { from, slope } = best;
  if (from === undefined) return undefined;
  return { gaps: strips.flatMap((strip) => bestOf(strip, from, slope, reach).gap ?? []) };
}

/** The gap of a strip that lies best on the line through `from`; wide gaps count more than chance ones. */
function bestOf(strip: readonly Gap[], from: Gap, slope: number, reach: number): { readonly gap: Gap | undefined; readonly score: number } {
  let gap: Gap | undefined;
  let score = 0;
  for (const candidate of strip) {
    const off = Math.abs(candidate.inner - from.inner - slope * (candidate.x - from.x));
    if (off > reach) continue;
    const worth = (candidate.outer - candidate.inner) * (1 - (0.5 * off) / reach);
    if (worth > score) {
      score = worth;
      gap = candidate;
    }
  }
  return { gap, score };
}

const ROUNDS = 6;
const DEGREE = 3;
/** Strips that a cubic needs to be told from their scatter. */
const FEWEST = 8;

/** The edge along the stretch that its curve follows: where an f turns into its arms the curve runs into plate or hole, and is fitted anew without that stretch. */
function edgeAlong(work: Workpiece, plan: Float64Array, width: number, gaps: readonly Gap[], plateSide: -1 | 1): StemEdge | undefined {
  let within = gaps;
  for (let round = 0; round < STRETCH_ROUNDS; round++) {
    const edge = edgeThrough(work, plan, width, within, plateSide);
    if (edge === undefined) return undefined;
    const [from, to] = emptyStretch(edge, work);
    if (from <= edge.from && to >= edge.to) return edge;
    within = within.filter((g) => g.x > from && g.x < to);
  }
  return edgeThrough(work, plan, width, within, plateSide);
}

const STRETCH_ROUNDS = 3;
/** mm × size. Length of the bins in which the hole is looked into, and depth from which a point lies in it: noise and a curve's own error reach less far. */
const LOOK = 4;
const IN_HOLE = 0.8;
/** Share of a bin's points in the hole from which on it is none: strays and webs are fewer. */
const FILLED = 0.12;
/** Where the look starts, share of the body's length: the middle of all stems lies near to it. */
const MIDDLE = 0.54;

/** The stretch about the stem's middle along which the hole is empty. */
function emptyStretch(edge: StemEdge, work: Workpiece): readonly [number, number] {
  const bin = LOOK * work.size;
  const count = Math.max(1, Math.ceil((edge.to - edge.from) / bin));
  const all = new Float64Array(count);
  const inside = new Float64Array(count);
  for (let k = 0; k < edge.points.length; k += 2) {
    const b = Math.floor((edge.points[k] - edge.from) / bin);
    if (b < 0 || b >= count) continue;
    all[b]++;
    if (edge.points[k + 1] < -IN_HOLE * work.size) inside[b]++;
  }
  const filled = (b: number): boolean => inside[b] > FILLED * all[b] && inside[b] > 1;
  const middle = Math.max(0, Math.min(count - 1, Math.floor((MIDDLE * work.bodyLength - edge.from) / bin)));
  let first = middle;
  let last = middle;
  while (first > 0 && !filled(first - 1)) first--;
  while (last < count - 1 && !filled(last + 1)) last++;
  return [first === 0 ? edge.from : edge.from + first * bin, last === count - 1 ? edge.to : edge.from + (last + 1) * bin];
}

/** Smooth curve through one side of the gaps; strips at the notch, farther into the plate, are outvoted. */
function edgeThrough(work: Workpiece, plan: Float64Array, width: number, gaps: readonly Gap[], plateSide: -1 | 1): StemEdge | undefined {
  const at = (g: Gap): number => (plateSide < 0 ? g.inner : g.outer);
  const through = (chosen: readonly Gap[]) =>
    fitPolynomial(
      chosen.map((g) => g.x),
      chosen.map(at),
      DEGREE,
    );
  let kept = [...gaps].sort((a, b) => a.x - b.x);
  if (kept.length < FEWEST) return undefined;
  let curve = through(kept);
  for (let round = 0; round < ROUNDS; round++) {
    const rest = gaps.map((g) => at(g) - curve.value(g.x));
    const reach = 2.5 * Math.max(mad(rest), 0.08 * work.size);
    kept = gaps.filter((_, k) => Math.abs(rest[k]) < reach).sort((a, b) => a.x - b.x);
    if (kept.length < FEWEST) return undefined;
    curve = through(kept);
  }
  const from = kept[0].x;
  const to = kept[kept.length - 1].x;
  const rows: [number, number][] = [];
  for (let k = 0; k < plan.length; k += 2) {
    const x = plan[k];
    if (x < from || x > to) continue;
    const slope = curve.slope(x);
    const cosine = 1 / Math.sqrt(1 + slope * slope);
    const into = plateSide * (plan[k + 1] - curve.value(x)) * cosine;
    if (into < INTO_PLATE * work.size && into > -0.6 * width) rows.push([x + plateSide * into * slope * cosine, into]);
  }
  rows.sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  return { value: curve.value, slope: curve.slope, from, to, plateSide, points: Float64Array.from(rows.flat()) };
}
