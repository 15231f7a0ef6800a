/**
 * First-order propagation of uncertainty with correlated inputs: U_y = C U_x Cᵀ.
 *
 * @param sensitivities  m × n row-major, ∂yᵢ/∂xⱼ
 * @param covariance  n × n row-major, of the inputs
 * @returns m × m row-major covariance of the outputs
 * @throws {RangeError} sizes that do not match
 * @see JCGM 100:2008, 5.2; JCGM 102:2011, 6.2
 */
export function propagate(sensitivities: ArrayLike<number>, covariance: ArrayLike<number>): Float64Array {
  const n = Math.round(Math.sqrt(covariance.length));
  if (n * n !== covariance.length) throw new RangeError(`a covariance matrix is square, ${covariance.length} entries are not`);
  const m = sensitivities.length / n;
  if (!Number.isInteger(m)) throw new RangeError(`${sensitivities.length} sensitivities do not belong to ${n} inputs`);
  const out = new Float64Array(m * m);
  for (let i = 0; i < m; i++) {
    for (let j = 0; j <= i; j++) {
      let s = 0;
      for (let k = 0; k < n; k++)
        for (let l = 0; l < n; l++) s += sensitivities[i * n + k] * covariance[k * n + l] * sensitivities[j * n + l];
      out[i * m + j] = s;
      out[j * m + i] = s;
    }
  }
  return out;
}

/** n × n row-major covariance from standard uncertainties and a correlation for each named pair (all others 0). */
export function covarianceOf(u: ArrayLike<number>, correlations: readonly (readonly [number, number, number])[] = []): Float64Array {
  const n = u.length;
  const covariance = new Float64Array(n * n);
  for (let i = 0; i < n; i++) covariance[i * n + i] = u[i] * u[i];
  for (const [i, j, r] of correlations) {
    if (!(Math.abs(r) <= 1)) throw new RangeError(`a correlation lies between −1 and 1, not ${r}`);
    covariance[i * n + j] = r * u[i] * u[j];
    covariance[j * n + i] = covariance[i * n + j];
  }
  return covariance;
}

/**
 * Sensitivities ∂yᵢ/∂xⱼ of a function by central differences over ± one standard uncertainty of each input.
 *
 * @param f  n inputs → m outputs
 * @param u  standard uncertainties; an input with u = 0 gets sensitivity 0, since it carries nothing
 * @returns m × n row-major
 * @see JCGM 100:2008, 5.1.3 note 2
 */
export function sensitivitiesOf(f: (x: Float64Array) => ArrayLike<number>, x: ArrayLike<number>, u: ArrayLike<number>): Float64Array {
  const n = x.length;
  const m = f(Float64Array.from(x)).length;
  const sensitivities = new Float64Array(m * n);
  const moved = Float64Array.from(x);
  for (let j = 0; j < n; j++) {
    if (u[j] === 0) continue;
    moved[j] = x[j] + u[j];
    const above = Float64Array.from(f(moved));
    moved[j] = x[j] - u[j];
    const below = f(moved);
    for (let i = 0; i < m; i++) sensitivities[i * n + j] = (above[i] - below[i]) / (2 * u[j]);
    moved[j] = x[j];
  }
  return sensitivities;
}

/**
 * Effective degrees of freedom of a combined standard uncertainty (Welch–Satterthwaite), for independent contributions.
 *
 * @param contributions  |∂y/∂xᵢ| u(xᵢ), in the unit of y
 * @param dofs  degrees of freedom of each, infinite where u is known
 * @see JCGM 100:2008, G.4.1
 */
export function effectiveDof(contributions: ArrayLike<number>, dofs: ArrayLike<number>): number {
  if (contributions.length !== dofs.length)
    throw new RangeError(`${contributions.length} contributions need as many degrees of freedom, ${dofs.length} given`);
  let variance = 0;
  let denominator = 0;
  for (let i = 0; i < contributions.length; i++) {
    if (!(dofs[i] > 0)) throw new RangeError(`degrees of freedom must be above zero, not ${dofs[i]}`);
    const v = contributions[i] * contributions[i];
    variance += v;
    denominator += (v * v) / dofs[i];
  }
  return denominator > 0 ? (variance * variance) / denominator : Number.POSITIVE_INFINITY;
}
