import { type Samples, SampleList } from '../../geometry/samples.ts';

/** The samples that `keep` says, in their order. */
export function selectSamples(samples: Samples, keep: (i: number) => boolean): Samples {
  const list = new SampleList();
  const { xyz, normal, u, weight } = samples;
  for (let i = 0; i < samples.count; i++) {
    if (!keep(i)) continue;
    const k = 3 * i;
    list.add(xyz[k], xyz[k + 1], xyz[k + 2], normal[k], normal[k + 1], normal[k + 2], u[i], weight[i]);
  }
  return list.samples();
}
