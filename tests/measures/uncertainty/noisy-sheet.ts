import type { Cloud } from '../../../src/geometry/cloud.ts';
import type { Random } from '../../../src/numerics/random.ts';
import { sampleField } from '../../../src/numerics/random-field.ts';

export interface SheetNoise {
  /** mm. */
  readonly white: number;
  readonly amplitude: number;
  readonly length: number;
}

/** A piece of a smooth surface as a scan: points on a shaken grid, each off along z by white and by shared noise. */
export interface Sheet {
  readonly from: readonly [number, number];
  readonly to: readonly [number, number];
  /** mm. */
  readonly spacing: number;
  /** Height, mm. */
  height(x: number, y: number): number;
}

export function noisySheet({ from, to, spacing, height }: Sheet, noise: SheetNoise, random: Random): Cloud {
  const places: number[] = [];
  for (let x = from[0]; x < to[0]; x += spacing) {
    for (let y = from[1]; y < to[1]; y += spacing) {
      const px = x + spacing * random.uniform();
      const py = y + spacing * random.uniform();
      places.push(px, py, height(px, py));
    }
  }
  const field = sampleField(places, noise.amplitude, noise.length, random);
  const count = places.length / 3;
  return {
    count,
    positions: Float32Array.from(places, (v, i) => v + (i % 3 === 2 ? noise.white * random.normal() + field[(i - 2) / 3] : 0)),
    normals: Float32Array.from(places, (_, i) => (i % 3 === 2 ? 1 : 0)),
    areas: new Float32Array(count).fill(spacing * spacing),
    oriented: true,
  };
}
