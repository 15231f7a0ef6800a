/** Small dense fits for the truth. Points are flat arrays; weights even unless given. */

export interface Line2 {
  readonly at0: number;
  readonly slope: number;
}

/** ordinary least squares y = at0 + slope·x with weights */
export function fitLine(x: ArrayLike<number>, y: ArrayLike<number>, weight?: ArrayLike<number>): Line2 {
  let [s, sx, sy] = [0, 0, 0];
  for (let i = 0; i < x.length; i++) {
    const w = weight ? weight[i] : 1;
    s += w;
    sx += w * x[i];
    sy += w * y[i];
  }
  const [mx, my] = [sx / s, sy / s];
  let [sxx, sxy] = [0, 0];
  for (let i = 0; i < x.length; i++) {
    const w = weight ? weight[i] : 1;
    sxx += w * (x[i] - mx) ** 2;
    sxy += w * (x[i] - mx) * (y[i] - my);
  }
  const slope = sxy / sxx;
  return { at0: my - slope * mx, slope };
}

/** direction (unit, first component ≥ 0 if `ahead`) of the orthogonal least-squares line */
export function orthogonalDirection(x: ArrayLike<number>, y: ArrayLike<number>): readonly [number, number] {
  let [mx, my] = [0, 0];
  const n = x.length;
  for (let i = 0; i < n; i++) {
    mx += x[i] / n;
    my += y[i] / n;
  }
  let [a, b, c] = [0, 0, 0];
  for (let i = 0; i < n; i++) {
    a += (x[i] - mx) ** 2;
    b += (x[i] - mx) * (y[i] - my);
    c += (y[i] - my) ** 2;
  }
  const t = 0.5 * Math.atan2(2 * b, a - c);
  return [Math.cos(t), Math.sin(t)];
}

/** centroid and unit normal (z ≥ 0) of the orthogonal least-squares plane through points (x, y, z, …) */
export function fitPlane(points: ArrayLike<number>): {
  readonly centre: readonly [number, number, number];
  readonly normal: readonly [number, number, number];
} {
  const n = points.length / 3;
  const m = [0, 0, 0];
  for (let i = 0; i < n; i++) for (let c = 0; c < 3; c++) m[c] += points[i * 3 + c] / n;
  const s = new Float64Array(9);
  for (let i = 0; i < n; i++)
    for (let a = 0; a < 3; a++) for (let b = a; b < 3; b++) s[a * 3 + b] += ((points[i * 3 + a] - m[a]) * (points[i * 3 + b] - m[b])) / n;
  for (let a = 0; a < 3; a++) for (let b = 0; b < a; b++) s[a * 3 + b] = s[b * 3 + a];
  const v = smallestEigenvector(s);
  const sign = v[2] < 0 ? -1 : 1;
  return { centre: [m[0], m[1], m[2]], normal: [sign * v[0], sign * v[1], sign * v[2]] };
}

/** Jacobi rotations on a symmetric 3 × 3 matrix */
function smallestEigenvector(s: Float64Array): readonly [number, number, number] {
  const a = Float64Array.from(s);
  const v = Float64Array.from([1, 0, 0, 0, 1, 0, 0, 0, 1]);
  for (let sweep = 0; sweep < 40; sweep++)
    for (const [p, q] of [
      [0, 1],
      [0, 2],
      [1, 2],
    ] as const) {
      const apq = a[p * 3 + q];
      if (Math.abs(apq) < 1e-300) continue;
      const theta = 0.5 * Math.atan2(2 * apq, a[q * 3 + q] - a[p * 3 + p]);
      const [c, t] = [Math.cos(theta), Math.sin(theta)];
      for (let k = 0; k < 3; k++) {
        const [x, y] = [a[k * 3 + p], a[k * 3 + q]];
        a[k * 3 + p] = c * x - t * y;
        a[k * 3 + q] = t * x + c * y;
      }
      for (let k = 0; k < 3; k++) {
        const [x, y] = [a[p * 3 + k], a[q * 3 + k]];
        a[p * 3 + k] = c * x - t * y;
        a[q * 3 + k] = t * x + c * y;
        const [vx, vy] = [v[k * 3 + p], v[k * 3 + q]];
        v[k * 3 + p] = c * vx - t * vy;
        v[k * 3 + q] = t * vx + c * vy;
      }
    }
  let best = 0;
  for (let i = 1; i < 3; i++) if (a[i * 4] < a[best * 4]) best = i;
  return [v[best], v[3 + best], v[6 + best]];
}

/** radius of the circle with the least sum of squared distances (Gauss–Newton from the algebraic circle) */
export function fitCircle(x: ArrayLike<number>, y: ArrayLike<number>): number {
  const n = x.length;
  let [mx, my] = [0, 0];
  for (let i = 0; i < n; i++) {
    mx += x[i] / n;
    my += y[i] / n;
  }
  let [suu, suv, svv, suuu, svvv, suvv, svuu] = [0, 0, 0, 0, 0, 0, 0];
  for (let i = 0; i < n; i++) {
    const [u, v] = [x[i] - mx, y[i] - my];
    suu += u * u;
    suv += u * v;
    svv += v * v;
    suuu += u * u * u;
    svvv += v * v * v;
    suvv += u * v * v;
    svuu += v * u * u;
  }
  const det = suu * svv - suv * suv;
  let a = ((suuu + suvv) * svv - (svvv + svuu) * suv) / (2 * det);
  let b = ((svvv + svuu) * suu - (suuu + suvv) * suv) / (2 * det);
  let r = Math.sqrt(a * a + b * b + (suu + svv) / n);
  for (let it = 0; it < 60; it++) {
    const N = new Float64Array(12);
    for (let i = 0; i < n; i++) {
      const [dx, dy] = [x[i] - mx - a, y[i] - my - b];
      const d = Math.hypot(dx, dy);
      const row = [-dx / d, -dy / d, -1, -(d - r)];
      for (let p = 0; p < 3; p++) for (let q = 0; q < 4; q++) N[p * 4 + q] += row[p] * row[q];
    }
    const step = solve3(N);
    a += step[0];
    b += step[1];
    r += step[2];
    if (Math.hypot(...step) < 1e-10) break;
  }
  return r;
}

/** 3 × 4 augmented matrix, Gaussian elimination with pivots */
export function solve3(m: Float64Array): readonly [number, number, number] {
  for (let c = 0; c < 3; c++) {
    let p = c;
    for (let r = c + 1; r < 3; r++) if (Math.abs(m[r * 4 + c]) > Math.abs(m[p * 4 + c])) p = r;
    if (p !== c) for (let k = 0; k < 4; k++) [m[c * 4 + k], m[p * 4 + k]] = [m[p * 4 + k], m[c * 4 + k]];
    for (let r = 0; r < 3; r++) {
      if (r === c) continue;
      const f = m[r * 4 + c] / m[c * 4 + c];
      for (let k = c; k < 4; k++) m[r * 4 + k] -= f * m[c * 4 + k];
    }
  }
  return [m[3] / m[0], m[7] / m[5], m[11] / m[10]];
}

/**
 * The straightedge on a profile (x ascending): the edge of its upper hull over the middle of the span.
 * `span` is that edge's share of the whole, `from` and `till` where it touches.
 */
export function straightedge(
  x: ArrayLike<number>,
  z: ArrayLike<number>,
): Line2 & { readonly span: number; readonly from: number; readonly till: number } {
  const hull: number[] = [];
  for (let i = 0; i < x.length; i++) {
    while (hull.length >= 2) {
      const [a, b] = [hull[hull.length - 2], hull[hull.length - 1]];
      if ((x[b] - x[a]) * (z[i] - z[a]) - (z[b] - z[a]) * (x[i] - x[a]) >= 0) hull.pop();
      else break;
    }
    hull.push(i);
  }
  const middle = (x[0] + x[x.length - 1]) / 2;
  for (let h = 0; h + 1 < hull.length; h++) {
    const [a, b] = [hull[h], hull[h + 1]];
    if (x[a] <= middle && x[b] >= middle) {
      const slope = (z[b] - z[a]) / (x[b] - x[a]);
      return { at0: z[a] - slope * x[a], slope, span: (x[b] - x[a]) / (x[x.length - 1] - x[0]), from: x[a], till: x[b] };
    }
  }
  throw new RangeError('a straightedge needs at least two points');
}
