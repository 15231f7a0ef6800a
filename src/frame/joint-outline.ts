import { SampleList, type Samples } from '../geometry/samples.ts';
import type { RimStation } from './rim-stations.ts';

/** The outline beside the neck is continued from this stretch beside the root, mm × size from its side. */
const BESIDE = { from: 1.5, to: 26 };
/** The outline is continued across the saddle from this stretch of the tail end, as shares of body length in |y|. */
const TAIL = { from: 0.065, to: 0.19 };

/** Outline on both sides of the neck root, for the joint. */
export function outlineBesideNeck(stations: readonly RimStation[], rootHalf: number, size: number): Samples {
  return pick(stations, (s) => s.x < 40 * size && within(Math.abs(s.y) - rootHalf, BESIDE.from * size, BESIDE.to * size));
}

/** Outline on both sides of the saddle, for the tail end. */
export function outlineBesideSaddle(stations: readonly RimStation[], bodyLength: number): Samples {
  return pick(stations, (s) => s.x > 0.85 * bodyLength && within(Math.abs(s.y) / bodyLength, TAIL.from, TAIL.to));
}

const within = (v: number, from: number, to: number): boolean => v >= from && v <= to;

function pick(stations: readonly RimStation[], wanted: (s: RimStation) => boolean): Samples {
  const list = new SampleList();
  for (const s of stations) if (!Number.isNaN(s.x) && wanted(s)) list.add(s.x, s.y, s.z, s.nx, s.ny, 0, s.outlineU, 1);
  return list.samples();
}
