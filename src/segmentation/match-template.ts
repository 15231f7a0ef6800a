import { EMPTY_COST, misfit, UNSEEN_COST } from './body-template.ts';
import type { PlanProfile } from './plan-profile.ts';

/** Where along an axis the template's body lies. */
export interface TemplateMatch {
  /** Joint, along the axis. */
  readonly joint: number;
  /** +1 when the tail lies at larger coordinates. */
  readonly towardsTail: 1 | -1;
  readonly bodyLength: number;
  /** Mean misfit over body and scan, share of body length: below about 0.02 for an instrument. */
  readonly cost: number;
  /** Share of the body's length that the scan reaches, 0…1. */
  readonly reached: number;
}

/** Body length ÷ widest seen width: 1.72 on average; a body seen from one side only, or one that lacks its lower bout, gives more. */
const LENGTH_TO_WIDTH = { least: 1.4, most: 3 };
const LENGTH_STEP = 1.035;
/** Steps of the joint's position, share of body length. */
const JOINT_STEP = 0.02;

/** The search looks at bins this many times longer; only the polish sees all of them. */
const LONGER_BINS = 2;
/** A body of which the scan reaches less than this is not looked for: a bout and a half is the least that shows what it is. */
const LEAST_REACHED = 0.35;

/** A body is wider than this many bins: what is narrower is a line or a rod. */
const FEWEST_BINS = 8;

/** The best match each way round, better one first; none for a profile too narrow for a body: where the body's template, of free length and place, meets the silhouette's half-widths best. */
export function matchTemplate(profile: PlanProfile): readonly TemplateMatch[] {
  const widest = widestWidth(profile);
  if (widest < FEWEST_BINS * profile.bin) return [];
  const coarse = longerBins(profile);
  const [a, b] = ([1, -1] as const).map((towardsTail) => {
    let best: Place = { joint: 0, bodyLength: 0, cost: Infinity };
    for (let length = LENGTH_TO_WIDTH.least * widest; length < LENGTH_TO_WIDTH.most * widest; length *= LENGTH_STEP) {
      best = bestJoint(coarse, length, towardsTail, JOINT_STEP * length, best);
    }
    return matched(profile, polish(profile, best, towardsTail), towardsTail);
  });
  return a.cost <= b.cost ? [a, b] : [b, a];
}

interface Place {
  readonly joint: number;
  readonly bodyLength: number;
  readonly cost: number;
}

function longerBins(profile: PlanProfile): PlanProfile {
  const bins = Math.ceil(profile.low.length / LONGER_BINS);
  const low = new Float64Array(bins).fill(NaN);
  const high = new Float64Array(bins).fill(NaN);
  for (let i = 0; i < profile.low.length; i++) {
    const b = Math.floor(i / LONGER_BINS);
    if (!(low[b] <= profile.low[i]) && !Number.isNaN(profile.low[i])) low[b] = profile.low[i];
    if (!(high[b] >= profile.high[i]) && !Number.isNaN(profile.high[i])) high[b] = profile.high[i];
  }
  return { bin: LONGER_BINS * profile.bin, start: profile.start + ((LONGER_BINS - 1) / 2) * profile.bin, low, high };
}

function bestJoint(profile: PlanProfile, length: number, towardsTail: 1 | -1, step: number, start: Place): Place {
  let best = start;
  // The body spans joint … joint + length towards the tail: both ends of the search leave the least share of it within the scan.
  const end = profile.start + profile.bin * profile.low.length;
  const from = towardsTail > 0 ? profile.start - (1 - LEAST_REACHED) * length : profile.start + LEAST_REACHED * length;
  const to = towardsTail > 0 ? end - LEAST_REACHED * length : end + (1 - LEAST_REACHED) * length;
  for (let joint = from; joint < to; joint += step) {
    const cost = costOf(profile, joint, length, towardsTail);
    if (cost < best.cost) best = { joint, bodyLength: length, cost };
  }
  return best;
}

function polish(profile: PlanProfile, start: Place, towardsTail: 1 | -1): Place {
  let best: Place = { ...start, cost: costOf(profile, start.joint, start.bodyLength, towardsTail) };
  for (let step = 0.015; step > 0.001; step /= 2) {
    for (let round = 0; round < 4; round++) {
      const before = best;
      for (const [j, l] of [
        [1, 0],
        [-1, 0],
        [0, 1],
        [0, -1],
        [1, 1],
        [-1, -1],
        [1, -1],
        [-1, 1],
      ]) {
        const bodyLength = before.bodyLength * (1 + l * step);
        const joint = before.joint + j * step * before.bodyLength;
        const cost = costOf(profile, joint, bodyLength, towardsTail);
        if (cost < best.cost) best = { joint, bodyLength, cost };
      }
      if (best === before) break;
    }
  }
  return best;
}

/** Mean misfit over the scan and what of the body lies beyond it, share of body length. */
function costOf(profile: PlanProfile, joint: number, bodyLength: number, towardsTail: 1 | -1): number {
  const { low, high, bin, start } = profile;
  const n = low.length;
  const scale = 1 / bodyLength;
  const share = bin * scale;
  const first = towardsTail * (start - joint) * scale;
  let cost = 0;
  let onBody = 0;
  for (let i = 0; i < n; i++) {
    const t = first + towardsTail * i * share;
    const inside = t >= 0 && t <= 1;
    if (inside) onBody++;
    if (Number.isNaN(low[i])) cost += inside ? EMPTY_COST : 0;
    // A side that the scan does not show counts as little as the other allows: the mean of both misfits, not the width.
    else cost += (misfit(t, high[i] * scale) + misfit(t, -low[i] * scale)) / 2;
  }
  const unseen = Math.max(0, 1 - share * onBody);
  return (share * cost + unseen * UNSEEN_COST) / (share * n + unseen);
}

function matched(profile: PlanProfile, place: Place, towardsTail: 1 | -1): TemplateMatch {
  const t = (i: number) => (towardsTail * (profile.start + i * profile.bin - place.joint)) / place.bodyLength;
  let seen = 0;
  for (let i = 0; i < profile.low.length; i++) if (t(i) >= 0 && t(i) <= 1) seen += profile.bin / place.bodyLength;
  return { ...place, towardsTail, reached: Math.min(1, seen) };
}

/** Widest width, the outer tenth left out: pegs of a rest or a hand stick out. */
function widestWidth(profile: PlanProfile): number {
  const widths = Array.from(profile.high, (h, i) => h - profile.low[i]).filter((w) => w > 0);
  widths.sort((a, b) => a - b);
  return widths[Math.floor(0.95 * (widths.length - 1))] ?? 0;
}
