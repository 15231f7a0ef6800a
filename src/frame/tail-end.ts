import type { Motion } from '../geometry/motion.ts';
import type { Samples } from '../geometry/samples.ts';
import { NormalEquations } from '../numerics/normal-equations.ts';
import { tailRow } from './joint-outline.ts';

/** Fewest stations on each side of the saddle. */
const FEWEST = 5;
/** What the two sides, each continued by itself, may differ by on the centreline, share of body length (1.4 mm on a violin): more, and one of them is a chin rest or a clamp. */
const SIDES_AGREE = 0.004;

/**
 * x of the tail end of the outline on the centreline, mm: the outline on both sides of the saddle continued across it by x = c0 + c1 y + c2 y² + c4 y⁴.
 *
 * @param motion  frame of the samples → frame of the result
 * @param bodyLength  rough, mm
 * @returns undefined when too little of the tail end is seen, only one side, or two that do not agree
 */
export function tailEnd(beside: Samples, motion: Motion, bodyLength: number): number | undefined {
  const both = new NormalEquations(4);
  const sides = [new NormalEquations(2), new NormalEquations(2)];
  for (let i = 0; i < beside.count; i++) {
    const [px, py, pz] = [beside.xyz[3 * i], beside.xyz[3 * i + 1], beside.xyz[3 * i + 2]];
    const x = motion[0] * px + motion[1] * py + motion[2] * pz + motion[3];
    const y = motion[4] * px + motion[5] * py + motion[6] * pz + motion[7];
    both.add(tailRow(y), x, 1);
    sides[y < 0 ? 0 : 1].add([1, y * y], x, 1);
  }
  if (Math.min(sides[0].rows, sides[1].rows) < FEWEST) return undefined;
  const [bass, treble] = sides.map((s) => s.solve().coefficients[0]);
  return Math.abs(bass - treble) > SIDES_AGREE * bodyLength ? undefined : both.solve().coefficients[0];
}
