/**
 * Places on the instrument as the scan shows them, each already an average or a fit over several points, with the direction
 * along which its error acts. All that the measures compute starts from samples, so that one machine can carry the scan's noise
 * to every result: it moves each sample along its normal by noise of known size and measures again.
 */
export interface Samples {
  readonly count: number;
  /** 3n coordinates, mm. */
  readonly xyz: Float64Array;
  /** 3n unit vectors: the direction along which an error of the scan moves the sample (the surface normal there). */
  readonly normal: Float64Array;
  /** n standard uncertainties along `normal`, mm: white noise and definition only, independent from sample to sample. */
  readonly u: Float64Array;
  /** n weights: the area (mm²) or the length (mm) that a sample stands for. */
  readonly weight: Float64Array;
}

/** Grows while a gatherer collects; `samples()` closes it. */
export class SampleList {
  private readonly rows: number[] = [];

  add(x: number, y: number, z: number, nx: number, ny: number, nz: number, u: number, weight: number): void {
    this.rows.push(x, y, z, nx, ny, nz, u, weight);
  }

  get count(): number {
    return this.rows.length / 8;
  }

  samples(): Samples {
    const count = this.count;
    const s = emptySamples(count);
    for (let i = 0; i < count; i++) {
      const r = 8 * i;
      for (let k = 0; k < 3; k++) {
        s.xyz[3 * i + k] = this.rows[r + k];
        s.normal[3 * i + k] = this.rows[r + 3 + k];
      }
      s.u[i] = this.rows[r + 6];
      s.weight[i] = this.rows[r + 7];
    }
    return s;
  }
}

export function emptySamples(count: number): Samples {
  return {
    count,
    xyz: new Float64Array(3 * count),
    normal: new Float64Array(3 * count),
    u: new Float64Array(count),
    weight: new Float64Array(count),
  };
}
