import { selectPoints } from '../cloud/select-points.ts';
import type { Workpiece } from './family.ts';
import type { Box } from './points-in-box.ts';

/** The workpiece with those points only that lie inside `box`: searches that pass over the points many times then pass over few. */
export function cropWork(work: Workpiece, box: Box): Workpiece {
  const { positions: p, count } = work.cloud;
  const keep = new Uint8Array(count);
  for (let i = 0; i < count; i++) {
    const x = p[3 * i];
    const y = p[3 * i + 1];
    const z = p[3 * i + 2];
    if (x >= box.x[0] && x <= box.x[1] && y >= box.y[0] && y <= box.y[1] && z >= box.z[0] && z <= box.z[1]) keep[i] = 1;
  }
  return { ...work, cloud: selectPoints(work.cloud, keep) };
}
