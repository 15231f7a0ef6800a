import { quantile } from '../../numerics/statistics.ts';
import type { Workpiece } from '../family.ts';
import { pointsInBox } from '../points-in-box.ts';

/** The saddle's top edge. Working frame, mm. */
export interface Saddle {
  readonly x: number;
  readonly y: number;
  readonly z: number;
}

/** mm × size. Where along the body and over the edge plane a saddle's upper side lies. */
const BEFORE_END = 8;
const BEYOND_END = 2;
const LOWEST = 1.2;
const HIGHEST = 8;
/** mm × size. Beside the gut, which lies on the saddle in the middle, as far as saddles reach. */
const NEAREST = 8;
const FARTHEST = 15;
/** Cosine: its upper side is level to 30°. */
const LEVEL = 0.85;
/** mm × size. Height of a layer, and how much the heights of both sides may differ: a chin rest or its clamp covers one of them. */
const LAYER = 1.2;
const SIDES_DIFFER = 0.7;
/** mm² × size². Area of a side's upper face that must be seen: a fifth of it. */
const LEAST_AREA = 4;
/** Share of the layer's heights below its top edge; what lies above tells where along the body the edge is. */
const TOP_SHARE = 0.8;

/** @returns undefined where the saddle's upper side is not seen on both sides of the gut */
export function findSaddle(work: Workpiece): Saddle | undefined {
  const bass = levelBeside(work, -1);
  const treble = levelBeside(work, 1);
  if (bass === undefined || treble === undefined || Math.abs(bass.z - treble.z) > SIDES_DIFFER * work.size) return undefined;
  return { x: (bass.x + treble.x) / 2, y: 0, z: (bass.z + treble.z) / 2 };
}

/** The layer with most area on one side. */
function levelBeside({ cloud, size, bodyLength }: Workpiece, side: -1 | 1): { x: number; z: number } | undefined {
  const p = cloud.positions;
  const x = [bodyLength - BEFORE_END * size, bodyLength + BEYOND_END * size] as const;
  const y = side < 0 ? ([-FARTHEST * size, -NEAREST * size] as const) : ([NEAREST * size, FARTHEST * size] as const);
  const ids = pointsInBox(cloud, { x, y, z: [LOWEST * size, HIGHEST * size] }, { axis: 'z', least: LEVEL });
  const sorted = Array.from(ids).sort((i, j) => p[3 * i + 2] - p[3 * j + 2]);
  let best: number[] = [];
  let most = 0;
  let from = 0;
  let area = 0;
  for (let k = 0; k < sorted.length; k++) {
    area += cloud.areas[sorted[k]];
    while (p[3 * sorted[k] + 2] - p[3 * sorted[from] + 2] > LAYER * size) area -= cloud.areas[sorted[from++]];
    if (area > most) {
      most = area;
      best = sorted.slice(from, k + 1);
    }
  }
  if (most < LEAST_AREA * size * size) return undefined;
  const z = quantile(
    best.map((i) => p[3 * i + 2]),
    TOP_SHARE,
  );
  const highest = best.filter((i) => p[3 * i + 2] >= z).map((i) => p[3 * i]);
  return { x: quantile(highest, 0.5), z };
}
