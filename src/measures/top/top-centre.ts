import type { Cloud } from '../../geometry/cloud.ts';
import { SampleList, type Samples } from '../../geometry/samples.ts';
import { NormalEquations } from '../../numerics/normal-equations.ts';
import { quantile } from '../../numerics/statistics.ts';
import { signsHold } from './signs-hold.ts';

/** The top's surface along the centreline, for its highest point. */
export interface TopCentre {
  readonly samples: Samples;
  /** Share of the middle of the body (30–75 % of its length) along which it is seen. */
  readonly coverage: number;
}

/** Stretch along which the arch is followed, shares of body length, and the strip's half-width, mm × size. */
const FROM = 0.3;
const TO = 0.78;
const STRIP = 4;
/** Steps along, mm × size: each becomes one sample or none. */
const STEP = 3;
const LOWEST = -0.012;
const HIGHEST = 0.062;
const FACES_UP = 0.85;
const FEWEST = 5;
const LEAST_SAMPLES = 20;
/** Share of the stretch that must be seen for the highest point to be found. */
const LEAST_COVERAGE = 0.35;

export function topCentre(cloud: Cloud, bodyLength: number, size: number, sigma: number): TopCentre | undefined {
  const rows = heightsByStep(cloud, bodyLength, size, sigma);
  const kept = followed(rows, size);
  const steps = Math.floor(((TO - FROM) * bodyLength) / (STEP * size));
  if (kept.length < LEAST_SAMPLES || kept.length / steps < LEAST_COVERAGE) return undefined;
  const list = new SampleList();
  for (const r of kept) list.add(r.x, r.y, r.z, 0, 0, 1, r.u, 1);
  return { samples: list.samples(), coverage: kept.length / steps };
}

interface Step {
  readonly x: number;
  readonly y: number;
  readonly z: number;
  readonly u: number;
}

/** The largest layer of each step, averaged. */
function heightsByStep(cloud: Cloud, bodyLength: number, size: number, sigma: number): Step[] {
  const p = cloud.positions;
  const steps = Math.floor(((TO - FROM) * bodyLength) / (STEP * size));
  const members: number[][] = Array.from({ length: steps }, () => []);
  for (let i = 0; i < cloud.count; i++) {
    const x = p[3 * i] - FROM * bodyLength;
    const z = p[3 * i + 2] / bodyLength;
    if (x < 0 || Math.abs(p[3 * i + 1]) > STRIP * size || z < LOWEST || z > HIGHEST) continue;
    if (Math.abs(cloud.normals[3 * i + 2]) >= FACES_UP) members[Math.floor(x / (STEP * size))]?.push(i);
  }
  const outside = signsHold(cloud, members.flat());
  const width = Math.max(0.5 * size, 5 * sigma);
  return members.flatMap((level) => {
    const ids = outside ? level.filter((i) => cloud.normals[3 * i + 2] > 0) : level;
    if (ids.length < FEWEST) return [];
    const sorted = ids.sort((a, b) => p[3 * a + 2] - p[3 * b + 2]);
    // The layer with the largest area: strings hold many points on little surface.
    let [best, from, to, area] = [0, 0, 0, 0];
    for (let lo = 0, hi = 0; lo < sorted.length; lo++) {
      for (; hi < sorted.length && p[3 * sorted[hi] + 2] < p[3 * sorted[lo] + 2] + width; hi++) area += cloud.areas[sorted[hi]];
      if (area > best) [best, from, to] = [area, lo, hi];
      area -= cloud.areas[sorted[lo]];
    }
    const layer = sorted.slice(from, to);
    if (layer.length < FEWEST) return [];
    const mean = [0, 1, 2].map((k) => layer.reduce((s, i) => s + p[3 * i + k], 0) / layer.length);
    return [{ x: mean[0], y: mean[1], z: mean[2], u: Math.max(sigma, 1e-4) / Math.sqrt(layer.length) }];
  });
}

/** Rounds and limit of trimming against one smooth arch, robust standard deviations, and the least that counts, mm × size. */
const ROUNDS = 8;
const TRIM = 3.5;
const LEAST_OFF = 0.15;

/** Drops steps that leave the arch which most steps follow: bridge feet, strings, tailpiece. Starts from the lowest third, where nothing stands over the top. */
function followed(rows: readonly Step[], size: number): readonly Step[] {
  if (rows.length < LEAST_SAMPLES) return rows;
  const limit0 =
    quantile(
      rows.map((r) => r.z),
      0.35,
    ) +
    4 * size;
  let kept = rows.filter((r) => r.z < limit0);
  for (let round = 0; round < ROUNDS && kept.length >= LEAST_SAMPLES; round++) {
    const equations = new NormalEquations(4);
    const middle = rows[rows.length >> 1].x;
    const half = 90 * size;
    const row = (x: number) => [0, 1, 2, 3].map((k) => ((x - middle) / half) ** k);
    for (const r of kept) equations.add(row(r.x), r.z, 1);
    const { coefficients } = equations.solve();
    const off = (r: Step) => Math.abs(r.z - row(r.x).reduce((s, v, k) => s + v * coefficients[k], 0));
    const limit = Math.max(LEAST_OFF * size, TRIM * 1.4826 * quantile(kept.map(off), 0.5));
    kept = rows.filter((r) => off(r) < limit);
  }
  return kept;
}

/** Degree of the arch along the body: the lowest that follows long arches within some hundredths. */
const DEGREE = 5;

/** Usual scatter of the samples, mm, and what a top may rise over 10 mm to the side, mm: by its slope, by its curvature. */
const GOOD_TO = 0.02;
const ACROSS = { slope: 0.5, curvature: 0.3 } as const;

/** Highest point of the arch on the centreline, mm over the edge plane. */
export function archHeight(centre: TopCentre, samples: Samples, bodyLength: number): number {
  const columns = DEGREE + 3;
  const equations = new NormalEquations(columns);
  const middle = ((FROM + TO) / 2) * bodyLength;
  const half = ((TO - FROM) / 2) * bodyLength;
  const row = (x: number, y: number): number[] => {
    const t = (x - middle) / half;
    return [...Array.from({ length: DEGREE + 1 }, (_, k) => t ** k), y / 10, (y / 10) ** 2];
  };
  for (let i = 0; i < samples.count; i++) equations.add(row(samples.xyz[3 * i], samples.xyz[3 * i + 1]), samples.xyz[3 * i + 2], 1);
  if (centre.samples.count < columns) return NaN;
  // Steps of an even grid may all lie at one y: then only this holds the slope and curvature across, to what tops have (0.05, a radius of 170 mm), against samples good to 0.02 mm.
  const unit = (k: number): number[] => Array.from({ length: columns }, (_, j) => (j === k ? 1 : 0));
  equations.add(unit(columns - 2), 0, (GOOD_TO / ACROSS.slope) ** 2);
  equations.add(unit(columns - 1), 0, (GOOD_TO / ACROSS.curvature) ** 2);
  const { coefficients } = equations.solve();
  let best = -Infinity;
  let first = Infinity;
  let last = -Infinity;
  for (let i = 0; i < samples.count; i++) {
    first = Math.min(first, samples.xyz[3 * i]);
    last = Math.max(last, samples.xyz[3 * i]);
  }
  for (let x = first; x <= last; x += 1)
    best = Math.max(
      best,
      row(x, 0).reduce((s, v, k) => s + v * coefficients[k], 0),
    );
  return best;
}
