import { fitPolynomialSurface, type PolynomialSurfaceFit } from '../fits/polynomial.ts';
import type { Cloud } from '../geometry/cloud.ts';
import { mad } from '../numerics/statistics.ts';

export interface SurfaceModel {
  /** Index (0, 1, 2 for x, y, z) of the fitted coordinate and of the two that it depends on. */
  readonly out: number;
  readonly a: number;
  readonly b: number;
  readonly degreeA: number;
  readonly degreeB: number;
  /** Greatest sum of both exponents. */
  readonly total?: number;
}

export interface RobustSurface {
  readonly fit: PolynomialSurfaceFit;
  /** Points that lie on the surface. */
  readonly ids: Uint32Array;
  /** Spread of their distances along the fitted coordinate, mm (median absolute deviation, scaled). */
  readonly spread: number;
}

/** Points farther than this many spreads from the surface belong to something else; 4 leaves normal noise whole. */
const CUT = 4;
const ROUNDS = 8;

/**
 * A smooth surface through the greater part of the points: polynomial least squares by area, points beyond `CUT` spreads put aside and the fit repeated
 * until the choice stands. Starts from all points, or from those within `reach` of `start`.
 *
 * @param least  a spread below this (mm) is not believed: it keeps quantised or noise-free scans from losing points
 * @returns undefined where fewer points than twice the terms are left
 */
export function fitRobustSurface(
  cloud: Cloud,
  ids: ArrayLike<number>,
  model: SurfaceModel,
  least: number,
  start?: { readonly value: (a: number, b: number) => number; readonly reach: number },
): RobustSurface | undefined {
  const p = cloud.positions;
  const terms = (model.degreeA + 1) * (model.degreeB + 1);
  let kept = Uint32Array.from(ids);
  if (start !== undefined) {
    kept = kept.filter((i) => Math.abs(p[3 * i + model.out] - start.value(p[3 * i + model.a], p[3 * i + model.b])) <= start.reach);
  }
  let spread = 0;
  let fit: PolynomialSurfaceFit | undefined;
  for (let round = 0; round < ROUNDS; round++) {
    if (kept.length < 2 * terms) return undefined;
    const current = fitTo(cloud, kept, model);
    if (current === undefined) return undefined;
    fit = current;
    const distance = (i: number): number => p[3 * i + model.out] - current.value(p[3 * i + model.a], p[3 * i + model.b]);
    spread = Math.max(least, mad(Float64Array.from(kept, distance)));
    const reach = start === undefined ? CUT * spread : Math.min(start.reach, CUT * spread);
    const next = Uint32Array.from(ids).filter((i) => Math.abs(distance(i)) <= reach);
    if (sameIds(next, kept)) break;
    kept = next;
  }
  return fit === undefined ? undefined : { fit, ids: kept, spread };
}

function fitTo(cloud: Cloud, ids: Uint32Array, model: SurfaceModel): PolynomialSurfaceFit | undefined {
  const column = (k: number): Float64Array => Float64Array.from(ids, (i) => cloud.positions[3 * i + k]);
  const weights = Float64Array.from(ids, (i) => cloud.areas[i]);
  const options = model.total === undefined ? { weights } : { weights, total: model.total };
  try {
    return fitPolynomialSurface(column(model.a), column(model.b), column(model.out), model.degreeA, model.degreeB, options);
  } catch (error) {
    // Points on a line or a single row do not carry the surface: nothing is there to be fitted.
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}

function sameIds(a: Uint32Array, b: Uint32Array): boolean {
  return a.length === b.length && a.every((v, k) => v === b[k]);
}
