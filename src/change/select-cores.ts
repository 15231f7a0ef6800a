import type { Cores } from './cores.ts';

/** The cores that `keep` tells to keep, in their order. */
export function selectCores(cores: Cores, keep: (i: number) => boolean): Cores {
  const ids: number[] = [];
  for (let i = 0; i < cores.count; i++) if (keep(i)) ids.push(i);
  const triples = (v: Float64Array) => Float64Array.from({ length: 3 * ids.length }, (_, j) => v[3 * ids[Math.floor(j / 3)] + (j % 3)]);
  return {
    count: ids.length,
    xyz: triples(cores.xyz),
    normal: triples(cores.normal),
    area: Float64Array.from(ids, (i) => cores.area[i]),
    variance: Float64Array.from(ids, (i) => cores.variance[i]),
    zone: Uint8Array.from(ids, (i) => cores.zone[i]),
  };
}
