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
const ROUNDS = 6;
/** Points that the surface is sought with, at most; all are then held against it. */
const ENOUGH = 1200;
/** Points a term: with fewer the spread is not told from the surface. */
const SPARE = 1.5;

/**
 * A smooth surface through the greater part of the points: polynomial least squares by area, points beyond `CUT` spreads put aside and the fit repeated
 * until the choice stands. Starts from all points, or from those within `reach` of `start`.
 *
 * @param least  a spread below this (mm) is not believed: it keeps quantised or noise-free scans from losing points
 * @returns undefined where fewer points than `SPARE` times the terms are left
 */
export function fitRobustSurface(
  cloud: Cloud,
  ids: ArrayLike<number>,
  model: SurfaceModel,
  least: number,
  start?: { readonly value: (a: number, b: number) => number; readonly reach: number },
): RobustSurface | undefined {
  const p = cloud.positions;
  const terms = termsOf(model);
  const step = Math.max(1, Math.floor(ids.length / ENOUGH));
  const all = Uint32Array.from(ids);
  const some = step === 1 ? all : all.filter((_, k) => k % step === 0);
  const off = (i: number, value: (a: number, b: number) => number): number =>
    p[3 * i + model.out] - value(p[3 * i + model.a], p[3 * i + model.b]);
  let kept = start === undefined ? some : some.filter((i) => Math.abs(off(i, start.value)) <= start.reach);
  for (let round = 1; ; round++) {
    if (kept.length < SPARE * terms) return undefined;
    const fit = fitTo(cloud, kept, model);
    if (fit === undefined) return undefined;
    const spread = Math.max(least, mad(Float64Array.from(kept, (i) => off(i, fit.value))));
    const reach = start === undefined ? CUT * spread : Math.min(start.reach, CUT * spread);
    const near = (i: number): boolean => Math.abs(off(i, fit.value)) <= reach;
    const next = some.filter(near);
    if (sameIds(next, kept) || round === ROUNDS) return { fit, ids: step === 1 ? next : all.filter(near), spread };
    kept = next;
  }
}

function termsOf({ degreeA, degreeB, total = degreeA + degreeB }: SurfaceModel): number {
  let terms = 0;
  for (let i = 0; i <= degreeA; i++) terms += Math.max(0, Math.min(degreeB, total - i) + 1);
  return terms;
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
