import type { Motion } from '../geometry/motion.ts';
import type { Samples } from '../geometry/samples.ts';
import { NormalEquations } from '../numerics/normal-equations.ts';
import { tailRow } from './joint-outline.ts';

const FEWEST = 12;

/**
 * x of the tail end of the outline on the centreline, mm: the outline on both sides of the saddle continued across it by x = c0 + c1 y + c2 y² + c4 y⁴.
 *
 * @param motion  frame of the samples → frame of the result
 * @returns undefined when too little of the tail end is seen, or only one side
 */
export function tailEnd(beside: Samples, motion: Motion): number | undefined {
  if (beside.count < FEWEST) return undefined;
  const equations = new NormalEquations(4);
  let bass = 0;
  for (let i = 0; i < beside.count; i++) {
    const [px, py, pz] = [beside.xyz[3 * i], beside.xyz[3 * i + 1], beside.xyz[3 * i + 2]];
    const x = motion[0] * px + motion[1] * py + motion[2] * pz + motion[3];
    const y = motion[4] * px + motion[5] * py + motion[6] * pz + motion[7];
    if (y < 0) bass++;
    equations.add(tailRow(y), x, 1);
  }
  if (bass < FEWEST / 3 || beside.count - bass < FEWEST / 3) return undefined;
  return equations.solve().coefficients[0];
}
