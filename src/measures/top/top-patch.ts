import type { Cloud } from '../../geometry/cloud.ts';
import { SampleList, type Samples } from '../../geometry/samples.ts';
import { linearLeastSquares } from '../../numerics/linear-least-squares.ts';
import { NormalEquations } from '../../numerics/normal-equations.ts';
import { quantile } from '../../numerics/statistics.ts';
import { signsHold } from './signs-hold.ts';

/** The top's surface around a place on the centreline, for its height there. */
export interface TopPatch {
  readonly samples: Samples;
  /** Working-frame x about which the surface is expanded. */
  readonly x: number;
  /** Reach of the samples along x on both sides, mm: the height is only good within. */
  readonly from: number;
  readonly to: number;
}

/** Patch, mm × size: small enough that a cubic follows the arching to 0.01 mm, large enough to reach round bridge feet and strings. */
const ALONG = 22;
const ACROSS = 13;
/** The top lies between these heights over the edge plane, shares of body length, and faces up within 32°. */
const LOWEST = -0.012;
const HIGHEST = 0.062;
const FACES_UP = 0.85;
/** Cells that become one sample, mm × size. */
const CELL = 2.5;
/** Rounds and limit of trimming, robust standard deviations; a layer is at least this thick, mm × size. */
const ROUNDS = 8;
const TRIM = 3;
const LEAST_LAYER = 0.08;
/** Fewest points and cells for a surface of eight terms. */
const FEWEST_POINTS = 40;
const FEWEST_CELLS = 14;

/** @returns undefined when the top is not seen there */
export function topPatch(cloud: Cloud, x: number, bodyLength: number, size: number, sigma: number): TopPatch | undefined {
  const ids = candidates(cloud, x, bodyLength, size);
  const layer = topLayer(cloud, ids, x, size, sigma);
  if (layer === undefined) return undefined;
  const samples = cellSamples(cloud, layer.ids, x, size, layer.scatter);
  if (samples.count < FEWEST_CELLS) return undefined;
  const xs = layer.ids.map((i) => cloud.positions[3 * i]);
  return { samples, x, from: quantile(xs, 0.02), to: quantile(xs, 0.98) };
}

function candidates(cloud: Cloud, x: number, bodyLength: number, size: number): number[] {
  const p = cloud.positions;
  const n = cloud.normals;
  const ids: number[] = [];
  for (let i = 0; i < cloud.count; i++) {
    if (Math.abs(p[3 * i] - x) > ALONG * size || Math.abs(p[3 * i + 1]) > ACROSS * size) continue;
    const z = p[3 * i + 2] / bodyLength;
    if (z > LOWEST && z < HIGHEST && Math.abs(n[3 * i + 2]) > FACES_UP) ids.push(i);
  }
  return signsHold(cloud, ids) ? ids.filter((i) => n[3 * i + 2] > 0) : ids;
}

const row = (dx: number, y: number): number[] => [1, dx, dx * dx, dx * dx * dx, y, y * y, dx * y, dx * y * y];

/** The layer that most of the patch's area belongs to, found from its densest height on and trimmed. */
function topLayer(
  cloud: Cloud,
  ids: readonly number[],
  x: number,
  size: number,
  sigma: number,
): { ids: number[]; scatter: number } | undefined {
  if (ids.length < FEWEST_POINTS) return undefined;
  const p = cloud.positions;
  const z = (i: number) => p[3 * i + 2];
  let kept = densest(ids, z, 3 * size);
  let scatter = size;
  for (let round = 0; round < ROUNDS; round++) {
    if (kept.length < FEWEST_POINTS) return undefined;
    const fit = surface(cloud, kept, x);
    if (fit === undefined) return undefined;
    const off = (i: number) => z(i) - row((p[3 * i] - x) / size, p[3 * i + 1] / size).reduce((s, v, k) => s + v * fit(k), 0);
    scatter =
      1.4826 *
      quantile(
        kept.map((i) => Math.abs(off(i))),
        0.5,
      );
    const limit = Math.max(TRIM * scatter, TRIM * sigma, LEAST_LAYER * size);
    kept = ids.filter((i) => Math.abs(off(i)) < limit);
  }
  return { ids: kept, scatter: Math.max(scatter, 1e-4) };

  function surface(c: Cloud, members: readonly number[], at: number): ((k: number) => number) | undefined {
    const design = Float64Array.from(members.flatMap((i) => row((c.positions[3 * i] - at) / size, c.positions[3 * i + 1] / size)));
    try {
      const { coefficients } = linearLeastSquares(
        design,
        8,
        Float64Array.from(members, z),
        Float64Array.from(members, (i) => c.areas[i]),
      );
      return (k) => coefficients[k];
    } catch (error) {
      // All points on a line: not a surface.
      if (error instanceof RangeError) return undefined;
      throw error;
    }
  }
}

/** The points within the densest interval of heights, `width` mm wide. */
function densest(ids: readonly number[], z: (i: number) => number, width: number): number[] {
  const sorted = [...ids].sort((a, b) => z(a) - z(b));
  let best = 0;
  let from = 0;
  for (let lo = 0, hi = 0; lo < sorted.length; lo++) {
    while (hi < sorted.length && z(sorted[hi]) < z(sorted[lo]) + width) hi++;
    if (hi - lo > best) {
      best = hi - lo;
      from = lo;
    }
  }
  return sorted.slice(from, from + best);
}

function cellSamples(cloud: Cloud, ids: readonly number[], x: number, size: number, scatter: number): Samples {
  const p = cloud.positions;
  const cells = new Map<number, number[]>();
  for (const i of ids) {
    const key = Math.floor((p[3 * i] - x) / (CELL * size)) * 1000 + Math.floor(p[3 * i + 1] / (CELL * size));
    const cell = cells.get(key);
    if (cell === undefined) cells.set(key, [i]);
    else cell.push(i);
  }
  const list = new SampleList();
  for (const members of cells.values()) {
    let [w, sx, sy, sz, area] = [0, 0, 0, 0, 0];
    for (const i of members) {
      w += 1;
      sx += p[3 * i];
      sy += p[3 * i + 1];
      sz += p[3 * i + 2];
      area += cloud.areas[i];
    }
    list.add(sx / w, sy / w, sz / w, 0, 0, 1, scatter / Math.sqrt(w), Math.max(area, 1e-9));
  }
  return list.samples();
}

/** Height of the top on the centreline at x, from samples in the instrument frame; NaN outside the patch. */
export function topHeight(samples: Samples, patch: TopPatch, size: number, x: number): number {
  const slack = 2 * size;
  if (x < patch.from - slack || x > patch.to + slack) return NaN;
  const equations = new NormalEquations(8);
  for (let i = 0; i < samples.count; i++) {
    equations.add(row((samples.xyz[3 * i] - patch.x) / size, samples.xyz[3 * i + 1] / size), samples.xyz[3 * i + 2], samples.weight[i]);
  }
  const { coefficients } = equations.solve();
  return row((x - patch.x) / size, 0).reduce((s, v, k) => s + v * coefficients[k], 0);
}
