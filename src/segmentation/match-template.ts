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

/** The best match each way round, better one first: where the body's template, of free length and place, meets the silhouette's half-widths best. */
export function matchTemplate(profile: PlanProfile): readonly [TemplateMatch, TemplateMatch] {
  const widest = widestWidth(profile);
  const [a, b] = ([1, -1] as const).map((towardsTail) => {
    let best: TemplateMatch = { joint: 0, towardsTail, bodyLength: 0, cost: Infinity, reached: 0 };
    for (let length = LENGTH_TO_WIDTH.least * widest; length < LENGTH_TO_WIDTH.most * widest; length *= LENGTH_STEP) {
      best = bestJoint(profile, length, towardsTail, JOINT_STEP * length, best);
    }
    return polish(profile, best);
  });
  return a.cost <= b.cost ? [a, b] : [b, a];
}

function bestJoint(profile: PlanProfile, length: number, towardsTail: 1 | -1, step: number, start: TemplateMatch): TemplateMatch {
  let best = start;
  const from = profile.start - length;
  const to = profile.start + profile.bin * profile.low.length + length;
  for (let joint = from; joint < to; joint += step) {
    const tried = costOf(profile, joint, length, towardsTail);
    if (tried.cost < best.cost) best = tried;
  }
  return best;
}

function polish(profile: PlanProfile, start: TemplateMatch): TemplateMatch {
  let best = start;
  for (let step = 0.015; step > 0.001; step /= 2) {
    for (let round = 0; round < 4; round++) {
      const before = best;
      for (const [j, l] of [[1, 0], [-1, 0], [0, 1], [0, -1], [1, 1], [-1, -1], [1, -1], [-1, 1]]) {
        const length = before.bodyLength * (1 + l * step);
        const tried = costOf(profile, before.joint + j * step * before.bodyLength, length, before.towardsTail);
        if (tried.cost < best.cost) best = tried;
      }
      if (best === before) break;
    }
  }
  return best;
}

function costOf(profile: PlanProfile, joint: number, bodyLength: number, towardsTail: 1 | -1): TemplateMatch {
  const { low, high, bin, start } = profile;
  const n = low.length;
  const share = bin / bodyLength;
  let cost = 0;
  let weight = 0;
  let seen = 0;
  for (let i = 0; i < n; i++) {
    const t = (towardsTail * (start + i * bin - joint)) / bodyLength;
    const onBody = t >= 0 && t <= 1;
    weight += share;
    if (onBody) seen += share;
    if (Number.isNaN(low[i])) cost += share * (onBody ? EMPTY_COST : 0);
    // A side that the scan does not show counts as little as the other allows: the mean of both misfits, not the width.
    else cost += (share * (misfit(t, high[i] / bodyLength) + misfit(t, -low[i] / bodyLength))) / 2;
  }
  const unseen = Math.max(0, 1 - seen);
  return { joint, towardsTail, bodyLength, cost: (cost + unseen * UNSEEN_COST) / (weight + unseen), reached: Math.min(1, seen) };
}

/** Widest width, the outer tenth left out: pegs of a rest or a hand stick out. */
function widestWidth(profile: PlanProfile): number {
  const widths = Array.from(profile.high, (h, i) => h - profile.low[i]).filter((w) => w > 0);
  widths.sort((a, b) => a - b);
  return widths[Math.floor(0.95 * (widths.length - 1))] ?? 0;
}
