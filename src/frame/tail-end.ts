import type { Motion } from '../geometry/motion.ts';
import type { Samples } from '../geometry/samples.ts';
import { NormalEquations } from '../numerics/normal-equations.ts';
import { tailRow } from './outline-beside-saddle.ts';

/** Fewest stations on each side of the saddle. */
const FEWEST = 4;
/** How far, RMS, the outline may lie off one smooth curve, share of body length (0.4 mm on a violin): more, and something else is taken for it. */
const OFF_CURVE = 0.0012;

/**
 * x of the tail end of the outline on the centreline, mm: the outline on both sides of the saddle continued across it by one smooth curve (`tailRow`).
 *
 * @param motion  frame of the samples → frame of the result
 * @param bodyLength  rough, mm
 * @returns undefined when too little of the tail end is seen, only one side, or what is seen is no smooth curve
 */
export function tailEnd(beside: Samples, motion: Motion, bodyLength: number): number | undefined {
  const fit = continued(beside, motion).both;
  if (fit === undefined || Math.sqrt(fit.rss / fit.weight) > OFF_CURVE * bodyLength) return undefined;
  return fit.coefficients[0];
}

/** Places that are known better than this, mm, count alike: the curve itself is no better. */
const ALIKE = 0.03;

const weightOf = (u: number): number => (ALIKE * ALIKE) / (u * u + ALIKE * ALIKE);

/** The tail end to about a per cent, for the size of the body: sides that do not agree, or one alone, must do. */
export function roughTailEnd(beside: Samples, motion: Motion): number | undefined {
  const { sides } = continued(beside, motion);
  const seen = sides.filter((v) => v !== undefined);
  return seen.length === 0 ? undefined : seen.reduce((a, v) => a + v, 0) / seen.length;
}

/** Where the outline meets the centreline: each side continued by itself (c0 + c2 y²), and both by one curve. */
function continued(beside: Samples, motion: Motion) {
  const both = new NormalEquations(5);
  let weight = 0;
  const sides = [new NormalEquations(2), new NormalEquations(2)];
  for (let i = 0; i < beside.count; i++) {
    const [px, py, pz] = [beside.xyz[3 * i], beside.xyz[3 * i + 1], beside.xyz[3 * i + 2]];
    const x = motion[0] * px + motion[1] * py + motion[2] * pz + motion[3];
    const y = motion[4] * px + motion[5] * py + motion[6] * pz + motion[7];
    const w = weightOf(beside.u[i]);
    both.add(tailRow(y), x, w);
    weight += w;
    sides[y < 0 ? 0 : 1].add([1, y * y], x, 1);
  }
  return {
    sides: sides.map((s) => (s.rows < FEWEST ? undefined : s.solve().coefficients[0])),
    both: Math.min(sides[0].rows, sides[1].rows) < FEWEST ? undefined : { ...both.solve(), weight },
  };
}
