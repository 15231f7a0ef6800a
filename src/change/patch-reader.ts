import { gridOfPoints, type PointGrid } from '../cloud/point-grid.ts';
import type { Cloud } from '../geometry/cloud.ts';
import { choleskyInPlace, choleskySolve } from '../numerics/cholesky.ts';

/** The surface near a place, along a direction through it. */
export interface Patch {
  /** Distance from the place to the surface along the direction, mm. */
  readonly distance: number;
  /** Variance of that distance for points of unit variance. */
  readonly cofactor: number;
  /** Mean square distance of the points from the patch, mm². */
  readonly scatter: number;
  /** Slope of the surface against the plane across the direction, along `across`(direction). */
  readonly slope: readonly [number, number];
}

/** Terms of a patch: 1, u, v, u², uv, v²; of a plane the first three. */
const TERMS = 6;
const PLANE = 3;
/** Points that carry a curved patch with some to spare; with fewer it is a plane, with fewer than the other there is none. */
const ENOUGH = 12;
const FEWEST = 5;
/** Points looked at, at most: more no longer help. */
const MOST = 4096;
/** Least |cosine| of a point's own normal to the direction: what faces another way is another surface. */
const SAME_WAY = 0.7;
/** Points farther from the first patch than this many of its spreads are another layer. */
const CUT = 3.5;
/** Smallest pivot of the normal matrix, whose entries are of order one. */
const PIVOT = 1e-7;

/**
 * Reads the surface of a cloud along directions: a second-degree patch over the plane across the direction, weighted towards the middle, so that curvature does
 * not pull the result as it does with a mean or a nearest point.
 */
export class PatchReader {
  private readonly cloud: Cloud;
  private readonly grid: PointGrid;
  /** u, v (in radii), height along the direction (mm) and weight of the points of the last reading. */
  private readonly rows = new Float64Array(4 * MOST);
  private readonly radius: number;

  /** @param radius  reach of a patch across its direction, mm */
  constructor(cloud: Cloud, radius: number) {
    this.cloud = cloud;
    this.grid = gridOfPoints(cloud.positions, radius);
    this.radius = radius;
  }

  /**
   * @param at  a place, mm
   * @param n  unit direction
   * @param depth  reach along the direction, mm
   * @returns undefined where no surface that faces this way surrounds the direction
   */
  read(at: ArrayLike<number>, n: ArrayLike<number>, depth: number): Patch | undefined {
    let count = this.collect(at, n, depth);
    if (!this.surrounded(count)) return undefined;
    let fit = this.solve(count);
    if (fit === undefined) return undefined;
    const kept = this.keepNear(count, fit.c, CUT * CUT * this.scatter(count, fit.c));
    if (kept < count) {
      count = kept;
      if (!this.surrounded(count)) return undefined;
      fit = this.solve(count);
      if (fit === undefined) return undefined;
    }
    return {
      distance: fit.c[0],
      cofactor: this.cofactor(count, fit.first),
      scatter: this.scatter(count, fit.c),
      slope: [fit.c[1] / this.radius, fit.c[2] / this.radius],
    };
  }

  private collect(at: ArrayLike<number>, n: ArrayLike<number>, depth: number): number {
    const { cloud, grid, radius, rows } = this;
    const [a, b] = across(n);
    const { min, size, cell, starts, order } = grid;
    const { positions: p, normals: m } = cloud;
    // The box of a disc of this radius and thickness about the place.
    const half = [0, 1, 2].map((k) => radius * Math.sqrt(Math.max(0, 1 - n[k] * n[k])) + depth * Math.abs(n[k]));
    const lo = half.map((h, k) => Math.max(0, Math.floor((at[k] - h - min[k]) / cell)));
    const hi = half.map((h, k) => Math.min(size[k] - 1, Math.floor((at[k] + h - min[k]) / cell)));
    let count = 0;
    for (let z = lo[2]; z <= hi[2]; z++) {
      for (let y = lo[1]; y <= hi[1]; y++) {
        const row = (z * size[1] + y) * size[0];
        if (hi[0] < lo[0]) continue;
        const end = starts[row + hi[0] + 1];
        for (let s = starts[row + lo[0]]; s < end && count < MOST; s++) {
          const i = 3 * order[s];
          const dx = p[i] - at[0];
          const dy = p[i + 1] - at[1];
          const dz = p[i + 2] - at[2];
          const h = dx * n[0] + dy * n[1] + dz * n[2];
          if (Math.abs(h) > depth) continue;
          const u = (dx * a[0] + dy * a[1] + dz * a[2]) / radius;
          const v = (dx * b[0] + dy * b[1] + dz * b[2]) / radius;
          const rest = 1 - u * u - v * v;
          if (rest <= 0) continue;
          const facing = m[i] * n[0] + m[i + 1] * n[1] + m[i + 2] * n[2];
          // Signs are not used even of a mesh: its pieces may be wound either way.
          if (Math.abs(facing) < SAME_WAY) continue;
          const r = 4 * count++;
          rows[r] = u;
          rows[r + 1] = v;
          rows[r + 2] = h;
          rows[r + 3] = rest * rest;
        }
      }
    }
    return count;
  }

  /** Whether points lie on all four sides: a patch is read inside its points, not beside them. */
  private surrounded(count: number): boolean {
    if (count < FEWEST) return false;
    let sides = 0;
    for (let r = 0; r < 4 * count; r += 4) {
      sides |= (this.rows[r] > 0 ? 1 : 2) << (this.rows[r + 1] > 0 ? 0 : 2);
      if (sides === 15) return true;
    }
    return false;
  }

  /** Coefficients of the patch, and the first row of the inverse of its normal matrix. */
  private solve(count: number): { c: Float64Array; first: Float64Array } | undefined {
    const { rows } = this;
    const terms = count >= ENOUGH ? TERMS : PLANE;
    const gram = new Float64Array(terms * terms);
    const right = new Float64Array(terms);
    const x = new Float64Array(TERMS);
    x[0] = 1;
    for (let r = 0; r < 4 * count; r += 4) {
      fillRow(x, rows[r], rows[r + 1]);
      const w = rows[r + 3] / count;
      for (let i = 0; i < terms; i++) {
        const wx = w * x[i];
        for (let j = 0; j <= i; j++) gram[i * terms + j] += wx * x[j];
        right[i] += wx * rows[r + 2];
      }
    }
    if (!(choleskyInPlace(gram, terms, PIVOT) > PIVOT)) return undefined;
    const first = new Float64Array(terms);
    first[0] = 1;
    return { c: choleskySolve(gram, terms, right), first: choleskySolve(gram, terms, first) };
  }

  private scatter(count: number, c: Float64Array): number {
    let sum = 0;
    let weight = 0;
    for (let r = 0; r < 4 * count; r += 4) {
      const d = this.rows[r + 2] - heightOf(c, this.rows[r], this.rows[r + 1]);
      sum += this.rows[r + 3] * d * d;
      weight += this.rows[r + 3];
    }
    // With the degrees of freedom that the terms take.
    return ((sum / weight) * count) / Math.max(1, count - c.length);
  }

  /** Moves the points whose square distance from the patch is small to the front. */
  private keepNear(count: number, c: Float64Array, cut: number): number {
    const { rows } = this;
    let kept = 0;
    for (let r = 0; r < 4 * count; r += 4) {
      const d = rows[r + 2] - heightOf(c, rows[r], rows[r + 1]);
      if (d * d > cut) continue;
      if (4 * kept !== r) rows.copyWithin(4 * kept, r, r + 4);
      kept++;
    }
    return kept;
  }

  /** Sum of the squares of what each point counts for in the value in the middle. */
  private cofactor(count: number, first: Float64Array): number {
    let sum = 0;
    for (let r = 0; r < 4 * count; r += 4) {
      const share = (this.rows[r + 3] / count) * heightOf(first, this.rows[r], this.rows[r + 1]);
      sum += share * share;
    }
    return sum;
  }
}

function fillRow(x: Float64Array, u: number, v: number): void {
  x[1] = u;
  x[2] = v;
  x[3] = u * u;
  x[4] = u * v;
  x[5] = v * v;
}

function heightOf(c: Float64Array, u: number, v: number): number {
  const plane = c[0] + c[1] * u + c[2] * v;
  return c.length === PLANE ? plane : plane + c[3] * u * u + c[4] * u * v + c[5] * v * v;
}

/** Two unit directions across one. */
export function across(n: ArrayLike<number>): readonly [readonly number[], readonly number[]] {
  const k = Math.abs(n[0]) < 0.6 ? 0 : Math.abs(n[1]) < 0.6 ? 1 : 2;
  const a = [-n[k] * n[0], -n[k] * n[1], -n[k] * n[2]];
  a[k] += 1;
  const l = Math.hypot(a[0], a[1], a[2]);
  for (let j = 0; j < 3; j++) a[j] /= l;
  return [a, [n[1] * a[2] - n[2] * a[1], n[2] * a[0] - n[0] * a[2], n[0] * a[1] - n[1] * a[0]]];
}
