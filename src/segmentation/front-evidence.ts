import type { Cloud } from '../geometry/cloud.ts';
import { quantile } from '../numerics/statistics.ts';
import type { RimPlane } from './edge-levels.ts';

/** What speaks for the upper rim being the top's (positive) or the back's (negative), each vote within ± 2. */
export interface FrontEvidence {
  /** Board and neck root stand over the top's edge at the joint; the button ends flush with the back's. */
  readonly joint: number;
  /** The neck runs near the top, not near the back. */
  readonly neck: number;
  /** Board, strings and bridge stand over the top along the middle; nothing narrow stands over the back. */
  readonly over: number;
  /** A lone plate seen from outside faces the front: only for oriented normals. */
  readonly facing: number;
  readonly total: number;
}

const clamp = (v: number) => Math.max(-2, Math.min(2, v));
/** Fewest points of the thinned cloud for a vote. */
const FEWEST = 12;

/** @param cloud  thinned; x from joint to tail, y across; z as assumed; lengths in the unit of `bodyLength` */
export function frontEvidence(cloud: Cloud, bodyLength: number, upper: RimPlane, lower: RimPlane): FrontEvidence {
  const p = cloud.positions;
  const up: number[] = [];
  const down: number[] = [];
  const neckHeights: number[] = [];
  let over = 0;
  let under = 0;
  let facing = 0;
  let plates = 0;
  for (let i = 0; i < cloud.count; i++) {
    const t = p[3 * i] / bodyLength;
    const y = p[3 * i + 1];
    const v = Math.abs(y) / bodyLength;
    const above = (p[3 * i + 2] - upper.c - upper.a * p[3 * i] - upper.b * y) / bodyLength;
    const below = (lower.c + lower.a * p[3 * i] + lower.b * y - p[3 * i + 2]) / bodyLength;
    const near = above < NECK_REACH && below < NECK_REACH;
    if (near && v < 0.055 && t > -0.1 && t < -0.015) {
      up.push(above);
      down.push(below);
    }
    if (near && v < 0.05 && t > -0.28 && t < -0.08) neckHeights.push((below - above) / 2);
    if (v < 0.075 && t > 0.05 && t < 0.6) {
      if (above > OVER_ARCH && above < BRIDGE_REACH) over += cloud.areas[i];
      if (below > OVER_ARCH && below < BRIDGE_REACH) under += cloud.areas[i];
    }
    if (cloud.oriented && t > 0.1 && t < 0.9 && v < 0.15) {
      facing += cloud.areas[i] * cloud.normals[3 * i + 2];
      plates += cloud.areas[i];
    }
  }
  const joint = up.length < FEWEST ? 0 : clamp((quantile(up, 0.98) - quantile(down, 0.98)) / 0.012);
  const neck =
    neckHeights.length < FEWEST ? 0 : clamp(-quantile(neckHeights, 0.5) / 0.012) * (thickness(bodyLength, upper, lower) > 0.05 ? 1 : 0);
  const area = bodyLength * bodyLength;
  const votes = {
    joint,
    neck,
    over: clamp((over - under) / (0.008 * area)),
    // Closed instruments show as much of either plate, so the mean faces nowhere.
    facing: plates > 0 ? clamp((facing / plates) * 3) : 0,
  };
  return { ...votes, total: 1.5 * votes.joint + votes.neck + votes.over + votes.facing };
}

/** A neck and its board lie within this of either rim near the joint, share of body length: what lies farther off is a stand or a hand. */
const NECK_REACH = 0.09;
/** Bridges reach to 0.17 of the length over the edge. */
const BRIDGE_REACH = 0.2;
/** Higher than any arching (0.05 of the length): board, strings, bridge, but also rests on the other side. */
const OVER_ARCH = 0.056;

const thickness = (bodyLength: number, upper: RimPlane, lower: RimPlane): number => {
  const x = 0.5 * bodyLength;
  return (upper.c + upper.a * x - lower.c - lower.a * x) / bodyLength;
};
