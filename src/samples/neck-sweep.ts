import type { Body } from './body.ts';
import type { Neck } from './neck.ts';

/** One section across neck or heel: from its base line p (buried under the board or in the body) to the outer contour q, in neck coordinates. */
export interface NeckSection {
  readonly px: number;
  readonly pz: number;
  readonly qx: number;
  readonly qz: number;
  /** Half-width at the base. */
  readonly half: number;
  /** Exponents of the section: ρ^m + |η|^n = 1, ρ from base to contour, η across. */
  readonly m: number;
  readonly n: number;
}

export interface NeckSweep {
  /** Length of the contour, and how far along it the throat begins. */
  readonly length: number;
  readonly throatAt: number;
  /** From here on the base lies on the root's front face. */
  readonly turnAt: number;
  readonly section: (at: number) => NeckSection;
  /** Half the width of neck or heel at x, z (neck coordinates); 0 outside. */
  readonly halfWidth: (x: number, z: number) => number;
}

const lerp = (a: number, b: number, t: number) => a + (b - a) * t;
/** Share of the throat over which the base still runs along the glue line. */
const BASE_RUN = 0.8;

export function sweepNeck(neck: Neck, body: Body): NeckSweep {
  const { contour, throatFrom, heelFrom } = neck;
  const s = [0];
  for (let i = 1; i < contour.length; i++)
    s.push(s[i - 1] + Math.hypot(contour[i][0] - contour[i - 1][0], contour[i][1] - contour[i - 1][1]));
  const length = s[s.length - 1];
  const throatAt = s[throatFrom];
  const turnAt = throatAt + BASE_RUN * (s[heelFrom] - throatAt);
  const last = contour[contour.length - 1];
  // The base line inside the body: behind the ribs wherever sections meet them.
  const inside = 2.4 * body.spec.overhang;
  const run = inside - contour[throatFrom][0];
  const footHalf = (body.spec.buttonWidth / 2) * neck.spec.heel.spread;
  const section = (at: number): NeckSection => {
    let lo = 0;
    let hi = s.length - 2;
    while (lo < hi) {
      const mid = (lo + hi + 1) >> 1;
      if (s[mid] <= at) lo = mid;
      else hi = mid - 1;
    }
    const f = (at - s[lo]) / (s[lo + 1] - s[lo]);
    const qx = lerp(contour[lo][0], contour[lo + 1][0], f);
    const qz = lerp(contour[lo][1], contour[lo + 1][1], f);
    let px = qx;
    let pz = 0;
    if (at > throatAt) {
      // The base leaves the neck at its own pace and comes to a stop at the corner, so that no crease shows.
      const t = Math.min(1, (at - throatAt) / (turnAt - throatAt));
      const pace = (turnAt - throatAt) / run;
      px = contour[throatFrom][0] + run * ((t * t * t - 2 * t * t + t) * pace + (3 - 2 * t) * t * t);
    }
    if (at > turnAt) pz = last[1] * ((at - turnAt) / (length - turnAt)) ** 2;
    const heel = Math.min(1, Math.max(0, (at - throatAt) / (length - throatAt)));
    const top = Math.abs(neck.lowerY(Math.min(px, 0), 1)) - neck.spec.inset;
    const half = lerp(top, footHalf, 0.9 * Math.max(0, pz / last[1]) ** 1.2 + 0.1 * heel * heel);
    return { px, pz, qx, qz, half, m: lerp(2, 2.2, heel), n: lerp(2.25, 2, heel) };
  };
  const across = (at: number, x: number, z: number) => {
    const c = section(at);
    return (x - c.px) * (c.qz - c.pz) - (z - c.pz) * (c.qx - c.px);
  };
  return {
    length,
    throatAt,
    turnAt,
    section,
    halfWidth: (x, z) => {
      // Sections do not cross: the one through x, z is found by bisection.
      let lo = 0;
      let hi = length;
      const sign = Math.sign(across(lo, x, z));
      for (let k = 0; k < 44; k++) {
        const mid = (lo + hi) / 2;
        if (Math.sign(across(mid, x, z)) === sign) lo = mid;
        else hi = mid;
      }
      const c = section((lo + hi) / 2);
      const dx = c.qx - c.px;
      const dz = c.qz - c.pz;
      const rho = ((x - c.px) * dx + (z - c.pz) * dz) / (dx * dx + dz * dz);
      if (rho > 1) return 0;
      return c.half * (1 - Math.max(0, rho) ** c.m) ** (1 / c.n);
    },
  };
}

/** The section's point at angle φ ∈ [−π/2, π/2], 0 on the contour, into `out` (neck coordinates). */
export function sectionPoint(c: NeckSection, phi: number, out: Float64Array): void {
  const rho = Math.max(0, Math.cos(phi)) ** (2 / c.m);
  const eta = Math.sign(phi) * Math.abs(Math.sin(phi)) ** (2 / c.n);
  out[0] = lerp(c.px, c.qx, rho);
  out[1] = c.half * eta;
  out[2] = lerp(c.pz, c.qz, rho);
}
