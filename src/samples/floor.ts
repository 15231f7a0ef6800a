import type { Random } from '../numerics/random.ts';
import { sampleField } from '../numerics/random-field.ts';
import { floorFit } from './floor-fit.ts';
import { type Bins, type FloorFeatures, floorFeatures, type FloorInput, landmarksOf } from './floor-samples.ts';

export type { FloorInput } from './floor-samples.ts';

/** Whether a scan supports a measurand, by the floor fit: plain fits to its known parts under its own noise. */
export interface FloorVerdict {
  readonly supported: boolean;
  /** 95th percentile of the plain fit's error under the scan's noise, mm or degrees; none when a part is missing. */
  readonly floor95: number | undefined;
  readonly reason: string | undefined;
}

/** Draws of the scan's noise: the 95th percentile is then known to a tenth. */
const DRAWS = 60;
/** Limits of the 95th percentile: 1 mm or 0.5°, radii 10 %, heelBow and scoop 0.3 mm, the ratio as 1 mm of stop. */
const LIMIT_MM = 1;
const LIMIT_DEGREES = 0.5;
const LIMIT_FINE = 0.3;
const LIMIT_RADIUS = 0.1;
const LIMIT_RATIO = 0.005;
const DEGREES = new Set(['neckAngle', 'boardYaw', 'boardTilt', 'boardTwist', 'heelLean']);
const FINE = new Set(['heelBow', 'scoopBass', 'scoopCentre', 'scoopTreble']);

/** Which headline measurands a scan supports. Shared by every model instrument: it reads labelled points and true values, nothing else. */
export function floorOf(input: FloorInput, random: Random): Record<string, FloorVerdict> {
  const landmarks = landmarksOf(input);
  const features = floorFeatures(input, landmarks);
  const clean = floorFit(features, landmarks, input.spacing, () => 0);
  const errors: Record<string, number[]> = {};
  for (let k = 0; k < DRAWS; k++) {
    const stream = random.fork(`draw ${k}`);
    const fit = floorFit(displaced(features, input, stream), landmarks, input.spacing, () => stream.normal());
    for (const [id, value] of Object.entries(fit)) {
      const known = clean[id];
      if (typeof value !== 'number' || typeof known !== 'number') continue;
      errors[id] ??= [];
      errors[id].push(Math.abs(value - known));
    }
  }
  const out: Record<string, FloorVerdict> = {};
  for (const [id, value] of Object.entries(clean)) {
    if (typeof value !== 'number') {
      out[id] = { supported: false, floor95: undefined, reason: value.reason };
      continue;
    }
    const floor95 = percentile95(errors[id] ?? [Infinity]);
    const limit = limitOf(id, input.values[id]);
    const supported = floor95 < limit;
    out[id] = {
      supported,
      floor95,
      reason: supported ? undefined : `plain fits to the known parts err by ${floor95.toFixed(2)}, more than ${limit.toFixed(2)}`,
    };
  }
  return out;
}

function limitOf(id: string, value: number): number {
  if (DEGREES.has(id)) return LIMIT_DEGREES;
  if (FINE.has(id)) return LIMIT_FINE;
  if (id === 'stopRatio') return LIMIT_RATIO;
  if (id === 'boardRadiusNut' || id === 'boardRadiusEnd') return LIMIT_RADIUS * value;
  return LIMIT_MM;
}

function percentile95(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const q = 0.95 * (sorted.length - 1);
  const i = Math.floor(q);
  return sorted[i] + (q - i) * ((sorted[i + 1] ?? sorted[i]) - sorted[i]);
}

/** Every mean moved along its normal by one draw of the scan's noise. */
function displaced(features: FloorFeatures, input: FloorInput, random: Random): FloorFeatures {
  const { sigma, amplitude, length, kernel } = input.noise;
  const entries = Object.entries(features) as [keyof FloorFeatures, Bins][];
  const where: number[] = [];
  for (const [, b] of entries) for (let i = 0; i < b.k.length; i++) where.push(b.x[i], b.y[i], b.z[i]);
  const field = sampleField(where, amplitude, length, random.fork('field'), kernel);
  let at = 0;
  const moved = entries.map(([name, b]) => {
    const e = b.k.map((k) => (sigma / Math.sqrt(k)) * random.normal() + field[at++]);
    return [
      name,
      {
        ...b,
        x: b.x.map((v, i) => v + e[i] * b.nx[i]),
        y: b.y.map((v, i) => v + e[i] * b.ny[i]),
        z: b.z.map((v, i) => v + e[i] * b.nz[i]),
        nx: b.nx,
        ny: b.ny,
        nz: b.nz,
        k: b.k,
      },
    ];
  });
  return Object.fromEntries(moved) as Record<keyof FloorFeatures, Bins>;
}
