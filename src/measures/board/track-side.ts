import { median } from '../../numerics/statistics.ts';
import type { Workpiece } from '../family.ts';
import type { BoardPoints } from './board-points.ts';
import { SIGN, type SideFace, type SideName } from './side-faces.ts';

/** |n·y| of points of a side, and depths below the upper arris at which they are looked for, mm × size. */
const SIDEWAYS = 0.8;
const DEPTH = { from: 1.6, to: 4.2 } as const;
/** mm × size. How far a widened side lies outside its straight part, and inside it by chance. */
const FARTHEST = 8;
const INSIDE = 0.5;
/** Length of a bin along the board, mm × size and spacings; points that it must hold. */
const BIN = 6;
const BIN_SPACINGS = 2;
const FEWEST = 4;

/** How far a side lies outside its own straight face, mm, at x: zero unless it is widened there. */
export function trackSide(
  side: SideName,
  points: BoardPoints,
  work: Workpiece,
  face: SideFace,
  arrisHeight: (x: number) => number,
): (x: number) => number {
  if (!Number.isFinite(face.straightTo)) return () => 0;
  const { size } = work;
  const bin = Math.max(BIN * size, BIN_SPACINGS * work.spacing);
  const bins = new Map<number, number[]>();
  for (let i = 0; i < points.count; i++) {
    const x = points.x[i];
    if (x < face.straightTo - bin || Math.abs(points.ny[i]) < SIDEWAYS) continue;
    const depth = arrisHeight(x) - points.z[i];
    if (depth < DEPTH.from * size || depth > DEPTH.to * size) continue;
    const out = SIGN[side] * (points.y[i] - face.y0 - face.slope * x - face.lean * depth);
    if (out < -INSIDE * size || out > FARTHEST * size) continue;
    const k = Math.floor(x / bin);
    const members = bins.get(k);
    if (members === undefined) bins.set(k, [out]);
    else members.push(out);
  }
  const nodes = [...bins]
    .filter(([, outs]) => outs.length >= FEWEST)
    .map(([k, outs]) => ({ x: (k + 0.5) * bin, out: median(outs) }))
    .sort((a, b) => a.x - b.x);
  return (x) => between(nodes, x);
}

/** Straight between the nodes, and as far beyond the last as between the last two; zero before the first. */
function between(nodes: readonly { x: number; out: number }[], x: number): number {
  if (nodes.length < 2 || x <= nodes[0].x) return 0;
  const k = Math.min(
    nodes.length - 1,
    Math.max(
      1,
      nodes.findIndex((n) => n.x >= x),
    ),
  );
  const [a, b] = x > nodes[nodes.length - 1].x ? nodes.slice(-2) : [nodes[k - 1], nodes[k]];
  return a.out + ((x - a.x) / (b.x - a.x)) * (b.out - a.out);
}
