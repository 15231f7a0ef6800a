import { solveIfDetermined } from './solve-if-determined.ts';
import { NormalEquations } from '../../numerics/normal-equations.ts';
import { sagitta } from './rough-surface.ts';

/** One term of the surface: Chebyshev polynomial of degree `along` in ξ times η to the power `across`. */
export interface SurfaceTerm {
  readonly along: number;
  readonly across: number;
}

/** A flat facet under the lowest string: it lies where t < ratio · (half0 + halfSlope·x), t and x as below, mm. */
export interface Facet {
  readonly ratio: number;
  readonly half0: number;
  readonly halfSlope: number;
}

/**
 * What is fixed about the model of a playing surface: a plane with a circle on it, and smooth terms that are fitted.
 * height(x, y) = z0 + slope·x − sagitta(t) + Σ cₖ Tᵢ(ξ) ηʲ with t = y − centre0 − centreSlope·x, ξ = (x − midX)/halfLength, η = t/halfWidth; mm.
 * A facet adds d and d², each also times ξ, with d the distance beyond its crease over halfWidth.
 */
export interface SurfacePlan {
  readonly z0: number;
  readonly slope: number;
  readonly radius: number;
  readonly centre0: number;
  readonly centreSlope: number;
  readonly midX: number;
  readonly halfLength: number;
  readonly halfWidth: number;
  readonly terms: readonly SurfaceTerm[];
  readonly facet?: Facet | undefined;
}

const FACET_COLUMNS = 4;
export const surfaceColumns = (plan: SurfacePlan): number => plan.terms.length + (plan.facet === undefined ? 0 : FACET_COLUMNS);

/** A fitted playing surface: height z (mm) at x, y (mm). */
export type Height = (x: number, y: number) => number;

export function surfaceBase(plan: SurfacePlan, x: number, y: number): number {
  return plan.z0 + plan.slope * x - sagitta(y - plan.centre0 - plan.centreSlope * x, plan.radius);
}

/** Highest degree along the board that any plan may use. */
export const MOST_ALONG = 9;
const chebyshev = new Float64Array(MOST_ALONG + 1);

/** Values of the plan's terms at x, y. */
export function surfaceRow(plan: SurfacePlan, x: number, y: number, row: Float64Array): void {
  const xi = (x - plan.midX) / plan.halfLength;
  const eta = (y - plan.centre0 - plan.centreSlope * x) / plan.halfWidth;
  chebyshev[0] = 1;
  chebyshev[1] = xi;
  for (let i = 2; i <= MOST_ALONG; i++) chebyshev[i] = 2 * xi * chebyshev[i - 1] - chebyshev[i - 2];
  const { terms } = plan;
  for (let k = 0; k < terms.length; k++) {
    let v = chebyshev[terms[k].along];
    for (let j = terms[k].across; j > 0; j--) v *= eta;
    row[k] = v;
  }
  if (plan.facet !== undefined) facetColumns(plan, plan.facet, x, eta, row);
}

/** Distance beyond the facet's crease, in half-widths: 0 on the round part. */
export const beyondCrease = (plan: SurfacePlan, facet: Facet, x: number, eta: number): number =>
  Math.max(0, (facet.ratio * (facet.half0 + facet.halfSlope * x)) / plan.halfWidth - eta);

function facetColumns(plan: SurfacePlan, facet: Facet, x: number, eta: number, row: Float64Array): void {
  const d = beyondCrease(plan, facet, x, eta);
  const n = plan.terms.length;
  row[n] = d;
  row[n + 1] = d * d;
  row[n + 2] = d * chebyshev[1];
  row[n + 3] = d * d * chebyshev[1];
}

/**
 * Weighted least squares of the plan's terms to heights over its base.
 *
 * @param xyz  3n coordinates, mm
 * @param weights  n, 1/u² up to a factor
 * @throws {RangeError} fewer points than terms, or points that leave a term open
 */
export function fitSurface(plan: SurfacePlan, xyz: ArrayLike<number>, weights: ArrayLike<number>): SurfaceFit {
  const { equations, rows } = surfaceEquations(plan, xyz, weights);
  const { coefficients, rss } = equations.solve();
  return { coefficients, rss, rows };
}

/** The same, or `undefined` where the samples leave a coefficient open. */
export function fitSurfaceIfDetermined(plan: SurfacePlan, xyz: ArrayLike<number>, weights: ArrayLike<number>): SurfaceFit | undefined {
  const { equations, rows } = surfaceEquations(plan, xyz, weights);
  const fit = solveIfDetermined(equations);
  return fit && { coefficients: fit.coefficients, rss: fit.rss, rows };
}

export interface SurfaceFit {
  readonly coefficients: Float64Array;
  readonly rss: number;
  readonly rows: number;
}

function surfaceEquations(
  plan: SurfacePlan,
  xyz: ArrayLike<number>,
  weights: ArrayLike<number>,
): { readonly equations: NormalEquations; readonly rows: number } {
  const equations = new NormalEquations(surfaceColumns(plan));
  const row = new Float64Array(surfaceColumns(plan));
  for (let i = 0; i < weights.length; i++) {
    const x = xyz[3 * i];
    const y = xyz[3 * i + 1];
    surfaceRow(plan, x, y, row);
    equations.add(row, xyz[3 * i + 2] - surfaceBase(plan, x, y), weights[i]);
  }
  return { equations, rows: equations.rows };
}

export function heightFunction(plan: SurfacePlan, coefficients: Float64Array): Height {
  const row = new Float64Array(surfaceColumns(plan));
  return (x, y) => {
    surfaceRow(plan, x, y, row);
    let z = surfaceBase(plan, x, y);
    for (let k = 0; k < row.length; k++) z += coefficients[k] * row[k];
    return z;
  };
}
