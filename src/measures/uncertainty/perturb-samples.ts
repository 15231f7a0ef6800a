import type { Samples } from '../../geometry/samples.ts';
import type { Random } from '../../numerics/random.ts';
import { sampleField } from '../../numerics/random-field.ts';
import type { PartSamples } from '../family.ts';
import { type PointNoise, SharedNoise } from './shared-noise.ts';

/** All samples of a scan laid end to end, so that one random field moves them alike. */
export interface SampleBook {
  readonly parts: PartSamples;
  readonly names: readonly string[];
  readonly xyz: Float64Array;
  /** Where neighbouring points of the scan share noise. */
  readonly shared?: SharedNoise;
}

/** @param noise  of the scan's points, where it is known; otherwise they count as independent */
export function sampleBook(parts: PartSamples, noise?: PointNoise): SampleBook {
  const names = Object.keys(parts).sort();
  const xyz = new Float64Array(names.reduce((n, k) => n + parts[k].xyz.length, 0));
  let at = 0;
  for (const name of names) {
    xyz.set(parts[name].xyz, at);
    at += parts[name].xyz.length;
  }
  if (noise === undefined || noise.amplitude === 0) return { parts, names, xyz };
  const u = Float64Array.from(names.flatMap((name) => [...parts[name].u]));
  return { parts, names, xyz, shared: new SharedNoise({ xyz, u }, noise) };
}

/** Samples moved along their normals by the scan's noise: each by its own u, independently or as far as its points share their noise with its neighbours'. */
export function withScanNoise(book: SampleBook, random: Random): PartSamples {
  if (book.shared === undefined) return moved(book, (s, i) => s.u[i] * random.normal());
  const drawn = book.shared.draw(random);
  let at = 0;
  return moved(book, () => drawn[at++]);
}

/** Samples moved along their normals by one draw of a smooth field. */
export function withLongWave(book: SampleBook, amplitude: number, length: number, random: Random): PartSamples {
  const field = sampleField(book.xyz, amplitude, length, random);
  let at = 0;
  return moved(book, () => field[at++]);
}

function moved(book: SampleBook, by: (s: Samples, i: number) => number): PartSamples {
  const parts: Record<string, Samples> = {};
  for (const name of book.names) {
    const s = book.parts[name];
    const xyz = new Float64Array(s.xyz);
    for (let i = 0; i < s.count; i++) {
      const d = by(s, i);
      for (let k = 0; k < 3; k++) xyz[3 * i + k] += d * s.normal[3 * i + k];
    }
    parts[name] = { ...s, xyz };
  }
  return parts;
}
