import { describe, expect, it } from 'vitest';
import type { Cores } from '../../src/change/cores.ts';
import { fitHeel, NO_WARP_DRAW } from '../../src/change/fit-heel.ts';
import type { NeckShape } from '../../src/change/neck-zones.ts';
import { PatchReader } from '../../src/change/patch-reader.ts';
import { testChanges } from '../../src/change/significance.ts';
import type { Change } from '../../src/change/change-result.ts';
import { motionOfSmall, SmallMotionFit, smallOfMotion } from '../../src/fits/small-motion.ts';
import { applyToPoints } from '../../src/geometry/motion.ts';
import { random } from '../../src/numerics/random.ts';

const DEGREE = Math.PI / 180;

describe('reading a surface', () => {
  it('is not pulled by curvature: a sphere of 10 mm with points 0.6 mm apart', () => {
    const radius = 10;
    const stream = random('sphere');
    const rows: number[] = [];
    while (rows.length < 3 * 3500) {
      const v = [stream.normal(), stream.normal(), stream.normal()];
      const l = Math.hypot(...v);
      rows.push(...v.map((c) => (radius * c) / l));
    }
    const positions = Float32Array.from(rows);
    const cloud = {
      count: 3500,
      positions,
      normals: positions.map((c) => c / radius),
      areas: new Float32Array(3500).fill(0.36),
      oriented: false,
    };
    const patch = new PatchReader(cloud, 2.5).read([0, 0, radius + 0.4], [0, 0, 1], 1.5);
    // mm: the fourth order of the sphere over 2.5 mm; a mean would lie 0.2 mm below.
    expect(Math.abs((patch?.distance as number) + 0.4)).toBeLessThan(0.01);
    expect(new PatchReader(cloud, 2.5).read([0, 0, radius + 3], [0, 0, 1], 1.5)).toBeUndefined();
  });
});

describe('a small motion', () => {
  it('is found from displacements along normals, and comes back as an exact rotation', () => {
    const stream = random('motion');
    const points = Float64Array.from({ length: 900 }, () => 100 * stream.normal());
    const n = new Float64Array(900);
    for (let i = 0; i < 300; i++) {
      const v = [stream.normal(), stream.normal(), stream.normal()];
      const l = Math.hypot(...v);
      n.set(
        v.map((c) => c / l),
        3 * i,
      );
    }
    const wanted = [0.002, -0.004, 0.001, 0.3, -0.2, 0.5];
    const motion = motionOfSmall(wanted, [10, 20, 30]);
    const moved = applyToPoints(motion, points, new Float64Array(900));
    const d = Float64Array.from({ length: 300 }, (_, i) =>
      [0, 1, 2].reduce((s, k) => s + (moved[3 * i + k] - points[3 * i + k]) * n[3 * i + k], 0),
    );
    const found = new SmallMotionFit(points, n, new Float64Array(300).fill(1), [10, 20, 30]).solve(d);
    // rad and mm: the second order of 0.005 rad over 100 mm.
    for (let k = 0; k < 3; k++) expect(Math.abs(found[k] - wanted[k])).toBeLessThan(3e-5);
    for (let k = 3; k < 6; k++) expect(Math.abs(found[k] - wanted[k])).toBeLessThan(3e-3);
    const back = smallOfMotion(motion, [10, 20, 30]);
    for (let k = 0; k < 6; k++) expect(back[k]).toBeCloseTo(wanted[k], 12);
  });

  it('refuses a plane, on which it can slide', () => {
    const points = Float64Array.from({ length: 300 }, (_, i) => (i % 3 === 2 ? 0 : (i * 7919) % 100));
    const n = Float64Array.from({ length: 300 }, (_, i) => (i % 3 === 2 ? 1 : 0));
    expect(() => new SmallMotionFit(points, n, new Float64Array(100).fill(1), [0, 0, 0])).toThrow(RangeError);
  });
});

describe('root and bend of a heel', () => {
  const heel = { low: -30, height: 36 };
  const shape: NeckShape = {
    size: 1,
    nutX: -130,
    boardLine: { z0: 14, slope: 0.12 },
    centre: { y0: 0, slope: 0 },
    glueZ: () => 6,
    heel,
  };
  const cores = roundHeel();

  it.each([
    ['the joint alone', 0.3, 0],
    ['the heel alone', 0, 0.3],
    ['both', 0.2, -0.1],
  ])('are told apart where %s turned', (_, root, bend) => {
    const [r, b] = [root * DEGREE, bend * DEGREE];
    const distance = turned(r, b);
    const above = { roll: 0, pitch: r + b, yaw: 0, rise: 0, warp: 0, endSlope: 0 };
    const fit = fitHeel(cores, { distance, variance: new Float64Array(cores.count) }, shape, above);
    if (typeof fit === 'string') throw new Error(fit);
    const [foundRoot, foundBend] = fit.solve(distance, above, NO_WARP_DRAW);
    // Degrees: the axis is taken half-way to the joint, here it leans away from that by up to 2 mm.
    expect(Math.abs(foundRoot / DEGREE - root)).toBeLessThan(0.01);
    expect(Math.abs(foundBend / DEGREE - bend)).toBeLessThan(0.01);
  });

  // A beam that is clamped at one end and bends turns its chord by four sagittas over it while the clamped end stands still (Euler–Bernoulli, from memory): 0.3 mm over 78 mm.
  it.each([
    ['dies out before it', 0],
    ['is held by it', (4 * 0.3) / 78],
  ])('are found beside a warp that %s', (_, against) => {
    const above = { roll: 0, pitch: 0.2 * DEGREE + against, yaw: 0, rise: 0, warp: 0.3, endSlope: (4 * 0.3) / 78 };
    const distance = turned(0.2 * DEGREE, 0);
    const fit = fitHeel(cores, { distance, variance: new Float64Array(cores.count) }, shape, above);
    if (typeof fit === 'string') throw new Error(fit);
    const [foundRoot, foundBend] = fit.solve(distance, above, NO_WARP_DRAW);
    // Degrees: the end slope is 0.88, and a heel taken to share in it would be off by that.
    expect(Math.abs(foundRoot / DEGREE - 0.2)).toBeLessThan(0.06);
    expect(Math.abs(foundBend / DEGREE)).toBeLessThan(0.1);
  });

  /** Distances of a heel whose root turns by r and that bends by b, rad. */
  function turned(r: number, b: number): Float64Array {
    return Float64Array.from({ length: cores.count }, (_v, i) => {
      const s = cores.xyz[3 * i + 2] - heel.low;
      const along = r * s + (b * s * s) / (2 * heel.height);
      const up = -(r + (b * s) / heel.height) * (cores.xyz[3 * i] + 6);
      return cores.normal[3 * i] * along + cores.normal[3 * i + 2] * up;
    });
  }

  /** Half a leaning elliptic column, 12 mm deep and 10 mm half-wide, from 10 to 60 % of the height. */
  function roundHeel(): Cores {
    const rows: number[] = [];
    for (let s = 3.6; s <= 21.6; s += 1.5) {
      for (let t = -1.4; t <= 1.4; t += 0.2) {
        const [x, y] = [-12 * Math.cos(t), 10 * Math.sin(t)];
        const normal = [-Math.cos(t) / 12, Math.sin(t) / 10, -0.02];
        const l = Math.hypot(...normal);
        rows.push(x - 0.2 * s, y, heel.low + s, ...normal.map((v) => v / l));
      }
    }
    const count = rows.length / 6;
    const pick = (k: number) => Float64Array.from({ length: 3 * count }, (_, j) => rows[6 * Math.floor(j / 3) + k + (j % 3)]);
    return {
      count,
      xyz: pick(0),
      normal: pick(3),
      area: new Float64Array(count).fill(3),
      variance: new Float64Array(count),
      zone: new Uint8Array(count).fill(1),
    };
  }
});

describe('tests of changes', () => {
  const change = (value: number, u: number): Change => ({
    value,
    unit: 'deg',
    u,
    U95: 1.96 * u,
    basis: 'measured',
    quality: 'good',
    budget: [],
    uBaseline: u / Math.SQRT2,
  });

  it('are stricter together than alone', () => {
    // 2.1 standard uncertainties pass alone (p 0.036) but not first of three (5 % ÷ 3).
    const tested = testChanges({
      changes: { neckPitch: change(2.1, 1), neckYaw: change(0, 1) },
      differences: { projection: change(0, 1) },
    });
    expect(tested.changes.neckPitch).toMatchObject({ significantAlone: true, significant: false, decision: 1.96 });
    // z of 5 % ÷ 3, two-sided, is 2.394; of a power of 95 % 1.645.
    expect(tested.changes.neckPitch?.smallest).toBeCloseTo(4.039, 3);
  });

  it('take the three components of the shift together', () => {
    // Chi-squared 7.815 with three degrees of freedom is its 95 % point.
    const shift = (v: number) => ({
      value: [v, 0, 0],
      unit: 'mm' as const,
      u: [1, 1, 1],
      U95: [1.96, 1.96, 1.96],
      basis: 'measured' as const,
      quality: 'good' as const,
      budget: [],
      uBaseline: [0, 0, 0],
      covariance: [1, 0, 0, 0, 1, 0, 0, 0, 1],
    });
    const alone = (v: number) => testChanges({ changes: { neckShift: shift(v) }, differences: {} }).changes.neckShift?.significantAlone;
    expect(alone(Math.sqrt(7.8))).toBe(false);
    expect(alone(Math.sqrt(7.83))).toBe(true);
  });
});
