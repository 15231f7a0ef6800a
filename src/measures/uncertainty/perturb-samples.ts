import type { Samples } from '../../geometry/samples.ts';
import type { Random } from '../../numerics/random.ts';
import { sampleField } from '../../numerics/random-field.ts';
import type { PartSamples } from '../family.ts';
import { type PointNoise, SharedNoise } from './shared-noise.ts';

/** Noise of a scan's single points as it bears on its samples. */
export interface ScanNoise {
  /** White and shared noise of neighbouring points, as the body's smooth pieces show it; otherwise points count as independent. */
  readonly points?: PointNoise;
  /** Noise that was stated in that which the scan shows, at least 1: a scan that was smoothed shows less than its points had. */
  readonly stretch: number;
}

/** All samples of a scan laid end to end, so that one random field moves them alike. */
export interface SampleBook {
  readonly parts: PartSamples;
  readonly names: readonly string[];
  readonly xyz: Float64Array;
  readonly stretch: number;
  /** Where neighbouring points of the scan share noise. */
  readonly shared?: SharedNoise;
  /** Shortest correlation length of a field over all samples, mm. */
  readonly shortest: number;
}

/** Fields shorter than this share of the samples' extent (8 mm on a violin) would cost a grid of millions of nodes. */
const SHORTEST = 1 / 75;

export function sampleBook(parts: PartSamples, noise: ScanNoise): SampleBook {
  const names = Object.keys(parts).sort();
  const xyz = new Float64Array(names.reduce((n, k) => n + parts[k].xyz.length, 0));
  let at = 0;
  for (const name of names) {
    xyz.set(parts[name].xyz, at);
    at += parts[name].xyz.length;
  }
  const book = { parts, names, xyz, stretch: noise.stretch, shortest: SHORTEST * extentOf(xyz) };
  if (noise.points === undefined || noise.points.amplitude === 0) return book;
  const u = Float64Array.from(names.flatMap((name) => [...parts[name].u]));
  return { ...book, shared: new SharedNoise({ xyz, u }, noise.points) };
}

function extentOf(xyz: Float64Array): number {
  let [low, high] = [Infinity, -Infinity];
  for (let i = 0; i < xyz.length; i += 3) {
    low = Math.min(low, xyz[i]);
    high = Math.max(high, xyz[i]);
  }
  return Math.max(0, high - low);
}

/** Samples moved along their normals by the scan's noise: each by its own u, independently or as far as its points share their noise with its neighbours'. */
export function withScanNoise(book: SampleBook, random: Random): PartSamples {
  if (book.shared === undefined) return moved(book, (s, i) => book.stretch * s.u[i] * random.normal());
  const drawn = book.shared.draw(random);
  let at = 0;
  return moved(book, () => book.stretch * drawn[at++]);
}

/** Samples moved along their normals by one draw of a smooth field. One that is too short becomes one of the least length with so much less amplitude that means over patches stay as they are. */
export function withLongWave(book: SampleBook, amplitude: number, length: number, random: Random): PartSamples {
  const long = Math.max(length, book.shortest);
  const field = sampleField(book.xyz, (amplitude * length) / long, long, random);
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
