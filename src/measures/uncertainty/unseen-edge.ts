import type { SeenOutline } from '../../frame/seen-outline.ts';
import type { Samples } from '../../geometry/samples.ts';
import { NormalEquations } from '../../numerics/normal-equations.ts';
import type { Random } from '../../numerics/random.ts';
import { sampleField } from '../../numerics/random-field.ts';
import type { PartSamples } from '../family.ts';

/**
 * What an edge is out of plane, standard, mm × size, and over what length, share of body length: edges of instruments in use are warped by a few tenths of a millimetre, in long
 * waves (common practice; no source states figures).
 */
const WARP = { amplitude: 0.12, length: 0.4 };
/**
 * What the mid-points of an outline lie off a straight line, likewise: the halves of an outline made by hand differ by some tenths in width and by a millimetre in where their
 * bouts lie, which moves the mid-points wherever the outline runs obliquely.
 */
const ASYMMETRY = { amplitude: 0.65, length: 0.15 };

/**
 * Datum samples as they would have to lie for the datums to come out as with the whole outline, in one draw of what is not seen. Plane and line through the seen part of a
 * random smooth edge differ from those through all of it; crest and outlines are moved by that difference, which moves A and B and leaves the rest of the scan where it is.
 */
export function withUnseenEdge(parts: PartSamples, outline: SeenOutline, bodyLength: number, random: Random): PartSamples {
  const size = bodyLength / 355;
  const { xy, seen } = outline.crest;
  const warp = sampleField(
    xy.flatMap(([x, y]) => [x, y, 0]),
    WARP.amplitude * size,
    WARP.length * bodyLength,
    random,
  );
  const row = ([x, y]: readonly [number, number]): number[] => [1, x / bodyLength, y / bodyLength];
  const plane = difference(
    xy.map(row),
    warp,
    seen.map((s) => (s ? 1 : 0)),
    seen.map(() => 1),
  );
  const { wanted, used } = outline.midpoints;
  const places = [...wanted, ...used];
  const off = sampleField(
    places.flatMap((x) => [x, 0, 0]),
    ASYMMETRY.amplitude * size,
    ASYMMETRY.length * bodyLength,
    random,
  );
  const isWanted = places.map((_, i) => (i < wanted.length ? 1 : 0));
  const line = difference(
    places.map((x) => [1, x / bodyLength]),
    off,
    isWanted.map((w) => 1 - w),
    isWanted,
  );
  return {
    ...parts,
    'datum.crest': shifted(parts['datum.crest'], 2, (x, y) => plane[0] + (plane[1] * x + plane[2] * y) / bodyLength),
    'datum.outlineBass': shifted(parts['datum.outlineBass'], 1, (x) => line[0] + (line[1] * x) / bodyLength),
    'datum.outlineTreble': shifted(parts['datum.outlineTreble'], 1, (x) => line[0] + (line[1] * x) / bodyLength),
  };
}

/** Coefficients of the fit with all weights minus those of the fit with the seen ones. */
function difference(rows: readonly number[][], values: Float64Array, seen: readonly number[], all: readonly number[]): Float64Array {
  const [some, whole] = [new NormalEquations(rows[0].length), new NormalEquations(rows[0].length)];
  rows.forEach((row, i) => {
    if (seen[i] > 0) some.add(row, values[i], seen[i]);
    if (all[i] > 0) whole.add(row, values[i], all[i]);
  });
  const c = some.solve().coefficients;
  return whole.solve().coefficients.map((v, k) => v - c[k]);
}

function shifted(s: Samples, axis: 1 | 2, by: (x: number, y: number) => number): Samples {
  const xyz = new Float64Array(s.xyz);
  for (let i = 0; i < s.count; i++) xyz[3 * i + axis] += by(s.xyz[3 * i], s.xyz[3 * i + 1]);
  return { ...s, xyz };
}
