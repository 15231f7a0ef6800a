import type { Cloud } from '../../src/geometry/cloud.ts';
import type { EvaluationContext, Gathering, Workpiece } from '../../src/measures/family.ts';
import type { Random } from '../../src/numerics/random.ts';

type Triple = readonly [number, number, number];

/** Grows a cloud patch by patch: points of a parametric surface, each moved along its normal by white noise. */
export class PointList {
  private readonly rows: number[] = [];
  private readonly random: Random;
  private readonly sigma: number;

  constructor(random: Random, sigma: number) {
    this.random = random;
    this.sigma = sigma;
  }

  /** Signs of normals are drawn: no search may rely on them. */
  add([x, y, z]: Triple, normal: Triple, area: number): void {
    const l = Math.hypot(...normal);
    const e = this.sigma * this.random.normal();
    const n = normal.map((v) => v / l);
    const sign = this.random.uniform() < 0.5 ? -1 : 1;
    this.rows.push(x + e * n[0], y + e * n[1], z + e * n[2], sign * n[0], sign * n[1], sign * n[2], area);
  }

  /** Points about `spacing` apart over u × v; `at` gives place and normal, or nothing where there is no surface. */
  patch(
    u: readonly [number, number],
    v: readonly [number, number],
    spacing: number,
    at: (u: number, v: number) => readonly [Triple, Triple] | undefined,
  ): void {
    const jitter = () => spacing * (this.random.uniform() - 0.5);
    for (let a = u[0]; a <= u[1]; a += spacing) {
      for (let b = v[0]; b <= v[1]; b += spacing) {
        const found = at(a + jitter(), b + jitter());
        if (found !== undefined) this.add(found[0], found[1], spacing * spacing);
      }
    }
  }

  cloud(): Cloud {
    const count = this.rows.length / 7;
    const cloud = {
      count,
      positions: new Float32Array(3 * count),
      normals: new Float32Array(3 * count),
      areas: new Float32Array(count),
      oriented: false,
    };
    for (let i = 0; i < count; i++) {
      for (let k = 0; k < 3; k++) {
        cloud.positions[3 * i + k] = this.rows[7 * i + k];
        cloud.normals[3 * i + k] = this.rows[7 * i + 3 + k];
      }
      cloud.areas[i] = this.rows[7 * i + 6];
    }
    return cloud;
  }
}

/** A violin's workpiece round a cloud. */
export function workpieceOf(cloud: Cloud, sigma: number, spacing: number): Workpiece {
  return { cloud, instrumentClass: 'violin', bodyLength: 355, size: 1, sigma, spacing, facets: 0 };
}

export function contextWith(shared: Readonly<Record<string, number>>): EvaluationContext {
  return { bodyLength: 355, size: 1, instrumentClass: 'violin', values: new Map(), shared: new Map(Object.entries(shared)) };
}

/** Values of one gathering with the nominal samples. */
export function evaluated(gathering: Gathering, shared: Readonly<Record<string, number>> = {}): EvaluationContext {
  const context = contextWith(shared);
  gathering.evaluate(gathering.samples, context);
  return context;
}

/** The same points in reverse. */
export function reversed(cloud: Cloud): Cloud {
  const turned = {
    ...cloud,
    positions: new Float32Array(3 * cloud.count),
    normals: new Float32Array(3 * cloud.count),
    areas: new Float32Array(cloud.count),
  };
  for (let i = 0; i < cloud.count; i++) {
    const j = cloud.count - 1 - i;
    for (let k = 0; k < 3; k++) {
      turned.positions[3 * i + k] = cloud.positions[3 * j + k];
      turned.normals[3 * i + k] = cloud.normals[3 * j + k];
    }
    turned.areas[i] = cloud.areas[j];
  }
  return turned;
}
