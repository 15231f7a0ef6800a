import type { Samples } from '../../geometry/samples.ts';
import type { PartSamples } from '../family.ts';

/**
 * Parts with fewer samples are places rather than stretches (a notch, an end, the nut's front): half of one is another place, so both halves keep them whole. So do the datums: a plane through half of an edge
 * that is warped is another plane, and the definition asks for the whole of it.
 */
const FEWEST = 32;
const DATUMS = 'datum.';

/**
 * Splits the samples of a scan into two halves, block by block in turn along the longest way of each part.
 *
 * @param blocks  that a part is cut into, about: the length of a block is a power of two (mm × size), so that parts that lie beside each other are cut at the same places
 * @param waves  half-waves of a part's model: a part of as many as there are blocks, or more, is kept whole, as no fit bridges the blocks that are left out
 */
export function halfParts(
  parts: PartSamples,
  blocks: number,
  size: number,
  waves: Readonly<Record<string, number>> = {},
): readonly [PartSamples, PartSamples] {
  const [even, odd]: [Record<string, Samples>, Record<string, Samples>] = [{}, {}];
  for (const [name, samples] of Object.entries(parts)) {
    const isWhole = samples.count < FEWEST || name.startsWith(DATUMS) || (waves[name] ?? 0) >= blocks;
    const isOdd = isWhole ? undefined : oddBlocks(samples, blocks, size);
    even[name] = isOdd === undefined ? samples : selected(samples, (i) => !isOdd(i));
    odd[name] = isOdd === undefined ? samples : selected(samples, isOdd);
  }
  return [even, odd];
}

function oddBlocks(samples: Samples, blocks: number, size: number): (i: number) => boolean {
  const extents = [0, 1, 2].map((axis) => extentOf(samples, axis));
  const longest = Math.max(...extents);
  const axis = extents.indexOf(longest);
  const length = size * 2 ** Math.round(Math.log2(longest / blocks / size));
  return (i) => Math.floor(samples.xyz[3 * i + axis] / length) % 2 !== 0;
}

function extentOf({ count, xyz }: Samples, axis: number): number {
  let [low, high] = [Infinity, -Infinity];
  for (let i = axis; i < 3 * count; i += 3) {
    low = Math.min(low, xyz[i]);
    high = Math.max(high, xyz[i]);
  }
  return high - low;
}

function selected(s: Samples, keep: (i: number) => boolean): Samples {
  const ids: number[] = [];
  for (let i = 0; i < s.count; i++) if (keep(i)) ids.push(i);
  const triples = (v: Float64Array) => Float64Array.from({ length: 3 * ids.length }, (_, k) => v[3 * ids[Math.floor(k / 3)] + (k % 3)]);
  return {
    count: ids.length,
    xyz: triples(s.xyz),
    normal: triples(s.normal),
    u: Float64Array.from(ids, (i) => s.u[i]),
    weight: Float64Array.from(ids, (i) => s.weight[i]),
  };
}
