import type { Cloud } from '../../geometry/cloud.ts';

/**
 * Whether signs of normals tell the top's outer side from its inner: they do where most of its level area faces out. Sheets of one mesh may be wound
 * either way, the top's against all others, and then the sign would take the top itself away.
 *
 * @param level  points of the top's region that face up or down
 */
export function signsHold(cloud: Cloud, level: readonly number[]): boolean {
  if (!cloud.oriented) return false;
  let up = 0;
  let all = 0;
  for (const i of level) {
    all += cloud.areas[i];
    if (cloud.normals[3 * i + 2] > 0) up += cloud.areas[i];
  }
  return up >= LEAST_UP * all;
}

/** Share of the level area that faces up: half where the inner side is in the scan too, less where parts of either side are unseen. */
const LEAST_UP = 0.3;
