import { type LinearFit, linearLeastSquares } from '../numerics/linear-least-squares.ts';

/** A fitted polynomial in one variable. */
export interface PolynomialFit {
  value(x: number): number;
  /** First derivative. */
  slope(x: number): number;
  /** Second derivative. */
  bend(x: number): number;
  /** Standard uncertainty of `value(x)` by the fit's covariance (noise judged from the residuals). */
  valueU(x: number): number;
  /** Standard uncertainty of `slope(x)`. */
  slopeU(x: number): number;
  /** Covariance of `value(x1)` and `value(x2)`. */
  covarianceOf(x1: number, x2: number): number;
  /** Coefficients of Legendre polynomials in the scaled variable, with their covariance. */
  readonly fit: LinearFit;
  /** Residual with n − degree − 1 degrees of freedom, weights of mean one; 0 without degrees of freedom. */
  readonly rms: number;
  readonly n: number;
  readonly reason: 'closed form';
}

/** A fitted polynomial surface z(x, y). */
export interface PolynomialSurfaceFit {
  value(x: number, y: number): number;
  /** (∂z/∂x, ∂z/∂y). */
  gradient(x: number, y: number): readonly [number, number];
  /** Standard uncertainty of `value(x, y)` by the fit's covariance (noise judged from the residuals). */
  valueU(x: number, y: number): number;
  readonly fit: LinearFit;
  /** Residual with n − terms degrees of freedom, weights of mean one; 0 without degrees of freedom. */
  readonly rms: number;
  readonly n: number;
  readonly reason: 'closed form';
}

/**
 * Polynomial of `degree` by weighted least squares, in Legendre polynomials over the data's own span, so that the equations stay well conditioned.
 *
 * @param weights  one a point, ≥ 0, as 1/u² up to a factor
 * @throws {RangeError} lengths that do not match, fewer different x than coefficients
 */
export function fitPolynomial(x: ArrayLike<number>, y: ArrayLike<number>, degree: number, weights?: ArrayLike<number>): PolynomialFit {
  if (x.length !== y.length) throw new RangeError(`${x.length} abscissae need as many values, ${y.length} given`);
  requireDegree(degree);
  const span = spanOf(x);
  const columns = degree + 1;
  const design = new Float64Array(x.length * columns);
  for (let i = 0; i < x.length; i++) legendre(toUnit(span, x[i]), degree, design, i * columns);
  const fit = linearLeastSquares(design, columns, y, weights);
  const b = fit.coefficients;
  const at = (v: number): Float64Array => legendre(toUnit(span, v), degree, new Float64Array(columns), 0);
  const slopeAt = (v: number): Float64Array => legendreSlopes(at(v), degree, span.perUnit);
  return {
    value: (v) => product(b, at(v)),
    slope: (v) => product(b, slopeAt(v)),
    bend: (v) => product(b, legendreBends(at(v), degree, span.perUnit)),
    valueU: (v) => Math.sqrt(quadratic(fit.covariance, at(v), at(v))),
    slopeU: (v) => Math.sqrt(quadratic(fit.covariance, slopeAt(v), slopeAt(v))),
    covarianceOf: (x1, x2) => quadratic(fit.covariance, at(x1), at(x2)),
    fit,
    rms: residualRms(fit, x.length, weights),
    n: fit.dof + columns,
    reason: 'closed form',
  };
}

/**
 * Polynomial surface z(x, y) of degree `degreeX` along x and `degreeY` along y by weighted least squares, in products of Legendre polynomials over
 * the data's own span.
 *
 * @param total  greatest sum of both exponents (default: degreeX + degreeY, the full product)
 * @throws {RangeError} lengths that do not match, or points that do not carry all terms
 */
export function fitPolynomialSurface(
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  z: ArrayLike<number>,
  degreeX: number,
  degreeY: number,
  options: { readonly weights?: ArrayLike<number>; readonly total?: number } = {},
): PolynomialSurfaceFit {
  if (x.length !== z.length || y.length !== z.length)
    throw new RangeError(`${z.length} heights need as many x and y, ${x.length} and ${y.length} given`);
  requireDegree(degreeX);
  requireDegree(degreeY);
  const basis = new ProductBasis(spanOf(x), spanOf(y), degreeX, degreeY, options.total ?? degreeX + degreeY);
  const design = new Float64Array(z.length * basis.columns);
  for (let i = 0; i < z.length; i++) basis.fill(x[i], y[i], design, i * basis.columns);
  const fit = linearLeastSquares(design, basis.columns, z, options.weights);
  const at = (vx: number, vy: number): Float64Array => basis.fill(vx, vy, new Float64Array(basis.columns), 0);
  return {
    value: (vx, vy) => product(fit.coefficients, at(vx, vy)),
    gradient: (vx, vy) => basis.gradient(vx, vy, fit.coefficients),
    valueU: (vx, vy) => Math.sqrt(quadratic(fit.covariance, at(vx, vy), at(vx, vy))),
    fit,
    rms: residualRms(fit, z.length, options.weights),
    n: fit.dof + basis.columns,
    reason: 'closed form',
  };
}

interface Span {
  readonly middle: number;
  /** Scaled units a unit of the data. */
  readonly perUnit: number;
}

function spanOf(values: ArrayLike<number>): Span {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < values.length; i++) {
    if (values[i] < low) low = values[i];
    if (values[i] > high) high = values[i];
  }
  return { middle: (low + high) / 2, perUnit: high > low ? 2 / (high - low) : 1 };
}

const toUnit = (span: Span, v: number): number => (v - span.middle) * span.perUnit;

function requireDegree(degree: number): void {
  if (!(Number.isInteger(degree) && degree >= 0))
    throw new RangeError(`the degree of a polynomial is a whole number from 0 on, not ${degree}`);
}

/** P₀(t) … P_degree(t) into `target` from `base` on; returns `target`. */
function legendre(t: number, degree: number, target: Float64Array, base: number): Float64Array {
  target[base] = 1;
  if (degree > 0) target[base + 1] = t;
  for (let k = 1; k < degree; k++) target[base + k + 1] = ((2 * k + 1) * t * target[base + k] - k * target[base + k - 1]) / (k + 1);
  return target;
}

/** Derivatives P′ₖ₊₁ = P′ₖ₋₁ + (2k + 1) Pₖ, times `factor`. */
function legendreSlopes(p: Float64Array, degree: number, factor: number): Float64Array {
  const d = new Float64Array(degree + 1);
  if (degree > 0) d[1] = factor;
  for (let k = 1; k < degree; k++) d[k + 1] = d[k - 1] + factor * (2 * k + 1) * p[k];
  return d;
}

/** Second derivatives P″ₖ₊₁ = P″ₖ₋₁ + (2k + 1) P′ₖ, times `factor`². */
function legendreBends(p: Float64Array, degree: number, factor: number): Float64Array {
  const first = legendreSlopes(p, degree, factor);
  const d = new Float64Array(degree + 1);
  for (let k = 1; k < degree; k++) d[k + 1] = d[k - 1] + factor * (2 * k + 1) * first[k];
  return d;
}

class ProductBasis {
  readonly columns: number;
  private readonly spanX: Span;
  private readonly spanY: Span;
  private readonly degreeX: number;
  private readonly degreeY: number;
  private readonly total: number;
  private readonly px: Float64Array;
  private readonly py: Float64Array;

  constructor(spanX: Span, spanY: Span, degreeX: number, degreeY: number, total: number) {
    this.spanX = spanX;
    this.spanY = spanY;
    this.degreeX = degreeX;
    this.degreeY = degreeY;
    this.total = total;
    this.px = new Float64Array(degreeX + 1);
    this.py = new Float64Array(degreeY + 1);
    let columns = 0;
    for (let i = 0; i <= degreeX; i++) for (let j = 0; j <= degreeY && i + j <= total; j++) columns++;
    this.columns = columns;
  }

  fill(x: number, y: number, target: Float64Array, base: number): Float64Array {
    legendre(toUnit(this.spanX, x), this.degreeX, this.px, 0);
    legendre(toUnit(this.spanY, y), this.degreeY, this.py, 0);
    this.products(this.px, this.py, target, base);
    return target;
  }

  gradient(x: number, y: number, b: Float64Array): readonly [number, number] {
    const px = legendre(toUnit(this.spanX, x), this.degreeX, this.px, 0);
    const py = legendre(toUnit(this.spanY, y), this.degreeY, this.py, 0);
    const terms = new Float64Array(this.columns);
    this.products(legendreSlopes(px, this.degreeX, this.spanX.perUnit), py, terms, 0);
    const alongX = product(b, terms);
    this.products(px, legendreSlopes(py, this.degreeY, this.spanY.perUnit), terms, 0);
    return [alongX, product(b, terms)];
  }

  private products(fx: Float64Array, fy: Float64Array, target: Float64Array, base: number): void {
    let k = base;
    for (let i = 0; i <= this.degreeX; i++) for (let j = 0; j <= this.degreeY && i + j <= this.total; j++) target[k++] = fx[i] * fy[j];
  }
}

function product(a: Float64Array, b: Float64Array): number {
  let s = 0;
  for (let i = 0; i < a.length; i++) s += a[i] * b[i];
  return s;
}

/** aᵀ C b; an infinite covariance (no degrees of freedom) stays infinite. */
function quadratic(c: Float64Array, a: Float64Array, b: Float64Array): number {
  const n = a.length;
  let s = 0;
  for (let i = 0; i < n; i++) {
    if (c[i * n + i] === Number.POSITIVE_INFINITY) return Number.POSITIVE_INFINITY;
    for (let j = 0; j < n; j++) s += a[i] * c[i * n + j] * b[j];
  }
  return s;
}

function residualRms(fit: LinearFit, rows: number, weights: ArrayLike<number> | undefined): number {
  if (fit.dof === 0) return 0;
  let meanWeight = 1;
  if (weights !== undefined) {
    let total = 0;
    let counted = 0;
    for (let i = 0; i < rows; i++) {
      total += weights[i];
      if (weights[i] > 0) counted++;
    }
    meanWeight = total / counted;
  }
  return Math.sqrt(fit.rss / fit.dof / meanWeight);
}
