import { SampleList, type Samples } from '../geometry/samples.ts';
import type { RimStation } from './rim-stations.ts';

/** Stations of the outline as samples with their normals in the plan. */
export function outlineSamples(stations: readonly RimStation[]): Samples {
  const list = new SampleList();
  for (const s of stations) list.add(s.x, s.y, s.z, s.nx, s.ny, 0, s.outlineU, 1);
  return list.samples();
}
