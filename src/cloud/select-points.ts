import type { Cloud } from '../geometry/cloud.ts';

/** The points whose `keep` entry is not zero. */
export function selectPoints(cloud: Cloud, keep: Uint8Array): Cloud {
  let count = 0;
  for (let i = 0; i < cloud.count; i++) if (keep[i] !== 0) count++;
  if (count === cloud.count) return cloud;
  const positions = new Float32Array(3 * count);
  const normals = new Float32Array(3 * count);
  const areas = new Float32Array(count);
  let j = 0;
  for (let i = 0; i < cloud.count; i++) {
    if (keep[i] === 0) continue;
    for (let k = 0; k < 3; k++) {
      positions[3 * j + k] = cloud.positions[3 * i + k];
      normals[3 * j + k] = cloud.normals[3 * i + k];
    }
    areas[j++] = cloud.areas[i];
  }
  return { count, positions, normals, areas, oriented: cloud.oriented };
}
