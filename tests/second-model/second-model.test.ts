import { describe, expect, it } from 'vitest';
import { ArcChain } from './arc-chain.ts';
import { fitCircle, fitPlane, straightedge } from './lines.ts';
import { type MadeScan, makeScan, type ScanOptions } from './make-scan.ts';
import { labelCode } from './patch.ts';
import { Random } from './random.ts';
import { drawField } from './random-field.ts';

/** coarse, for speed; what is tested does not depend on it */
const SPACING = 1.6;
const BARE: ScanOptions = { seed: 11, quality: 'clean', spacing: SPACING, unit: 'cm', form: 'cloud' };
const bare = makeScan(BARE);

function points(scan: MadeScan, label: Parameters<typeof labelCode>[0], where: (x: number, y: number, z: number) => boolean): number[][] {
  const out: number[][] = [];
  for (let i = 0; i < scan.labels.length; i++) {
    const [x, y, z] = [scan.exact[i * 3], scan.exact[i * 3 + 1], scan.exact[i * 3 + 2]];
    if (scan.labels[i] === labelCode(label) && where(x, y, z)) out.push([x, y, z]);
  }
  return out;
}

describe('the second model: truth agrees with its own surface', { timeout: 120_000 }, () => {
  it('the frame is a rotation with det +1 that takes the scan to the instrument', () => {
    const f = bare.truth.frame.map((v) => v / bare.truth.unitScale);
    const det = f[0] * (f[5] * f[10] - f[6] * f[9]) - f[1] * (f[4] * f[10] - f[6] * f[8]) + f[2] * (f[4] * f[9] - f[5] * f[8]);
    expect(det).toBeCloseTo(1, 9);
    const F = bare.truth.frame;
    let worst = 0;
    for (let i = 0; i < bare.positions.length; i += 3)
      for (let r = 0; r < 3; r++) {
        const v = F[r * 4] * bare.positions[i] + F[r * 4 + 1] * bare.positions[i + 1] + F[r * 4 + 2] * bare.positions[i + 2] + F[r * 4 + 3];
        worst = Math.max(worst, Math.abs(v - bare.exact[i + r]));
      }
    expect(worst).toBeGreaterThan(0);
    expect(worst).toBeLessThan(6.5 * bare.truth.noise.sigma);
  });

  it('plane A is the plane of the highest edge points, found from the surface alone', () => {
    // highest point of the edge in each small sector of the plan, away from neck and saddle
    const best = new Map<number, number[]>();
    const L = bare.truth.values['bodyLength'];
    for (const p of points(bare, 'edge', (x, y) => Math.abs(y) > 30 && x < L - 5)) {
      const key = Math.round((Math.atan2(p[1], p[0] - L / 2) * 180) / Math.PI / 2);
      const old = best.get(key);
      if (!old || p[2] > old[2]) best.set(key, p);
    }
    const plane = fitPlane([...best.values()].flat());
    expect(Math.acos(plane.normal[2]) * (180 / Math.PI)).toBeLessThan(0.03);
    expect(Math.abs(plane.centre[2])).toBeLessThan(0.06);
  });

  it('the board line is the straightedge on the board’s own points', () => {
    const { z0, slope } = bare.truth.profiles.boardLine;
    const yaw = Math.tan((bare.truth.values['boardYaw'] * Math.PI) / 180);
    const offset = bare.truth.values['boardOffset'] - yaw * bare.truth.values['stop'];
    const nut = -bare.truth.values['neckLength'];
    const far = nut + bare.truth.values['boardLength'];
    const ridge = points(bare, 'board', (x, y) => Math.abs(y - offset - yaw * x) < 0.5 && x > nut + 2 && x < far - 2);
    const gaps = ridge.map(([x, , z]) => z0 + slope * x - z);
    expect(ridge.length).toBeGreaterThan(60);
    expect(Math.min(...gaps)).toBeGreaterThan(-0.002);
    expect(Math.min(...gaps)).toBeLessThan(0.02);
    const { scoopCentre } = bare.truth.values;
    expect(Math.max(...gaps)).toBeGreaterThan(scoopCentre - 0.03);
    expect(Math.max(...gaps)).toBeLessThan(scoopCentre + 0.03);
    expect(Math.atan(slope) * (180 / Math.PI)).toBeCloseTo(bare.truth.values['neckAngle'], 9);
  });

  it('projection, lengths and angles hang together', () => {
    const v = bare.truth.values;
    const { z0, slope } = bare.truth.profiles.boardLine;
    const near = points(bare, 'top', (x, y) => Math.hypot(x - v['stop'], y) < 1.6);
    const top = near.reduce((s, p) => s + p[2], 0) / near.length;
    expect(z0 + slope * v['stop'] - top).toBeCloseTo(v['projection'], 1);
    expect(v['stopRatio'] * v['stop']).toBeCloseTo(v['neckLength'], 9);
    expect((v['overstandBass'] + v['overstandTreble']) / 2).toBeCloseTo(v['overstand'], 9);
    const wide = points(bare, 'edge', () => true);
    const treble = Math.max(...wide.filter((p) => p[0] > 0.6 * v['bodyLength']).map((p) => p[1]));
    const bass = Math.min(...wide.filter((p) => p[0] > 0.6 * v['bodyLength']).map((p) => p[1]));
    expect(treble - bass).toBeGreaterThan(v['widthLower'] - 0.2);
    expect(treble - bass).toBeLessThan(v['widthLower'] + 1);
    expect(Math.max(...wide.filter((p) => Math.abs(p[1]) < 40).map((p) => p[0]))).toBeCloseTo(v['bodyLength'], 0);
  });

  it('the heel’s lean and bow are those of its points on the middle plane', () => {
    const v = bare.truth.values;
    const middle = [
      ...points(bare, 'heel', (_x, y) => Math.abs(y) < 0.7),
      ...points(bare, 'neck', (_x, y) => Math.abs(y) < 0.7),
      ...points(bare, 'button', (_x, y) => Math.abs(y) < 0.7),
    ].filter((p) => p[0] < -5 && p[0] > -40);
    const low = Math.min(...middle.map((p) => p[2]));
    const h = bare.truth.secondary['heelHeight'];
    const stretch = middle.filter((p) => p[2] > low + 0.15 * h && p[2] < low + 0.5 * h);
    const mz = stretch.reduce((s, p) => s + p[2], 0) / stretch.length;
    const mx = stretch.reduce((s, p) => s + p[0], 0) / stretch.length;
    const slope = stretch.reduce((s, p) => s + (p[0] - mx) * (p[2] - mz), 0) / stretch.reduce((s, p) => s + (p[2] - mz) ** 2, 0);
    expect((Math.atan(-slope) * 180) / Math.PI).toBeCloseTo(v['heelLean'], 0);
  });

  it.each([
    ['roll', 'boardTilt', 1],
    ['yaw', 'boardYaw', 1],
  ] as const)('%s of the neck by one degree turns %s by one degree', (trait, id, sign) => {
    const turned = (angle: number): number =>
      makeScan({ ...BARE, spacing: 6, traits: { roll: 0, yaw: 0, [trait]: angle } }).truth.values[id];
    // the datums do not follow the neck but for the joint
    expect(sign * (turned(0.5) - turned(-0.5))).toBeCloseTo(1, 1);
  });

  it('the same options give the same scan, another number another instrument', () => {
    const [once, again, other] = [11, 11, 12].map((seed) => makeScan({ ...BARE, seed, spacing: 6 }));
    expect(Buffer.from(again.positions.buffer).equals(Buffer.from(once.positions.buffer))).toBe(true);
    expect(again.truth).toEqual(once.truth);
    expect(other.truth.values['neckAngle']).not.toBe(once.truth.values['neckAngle']);
  });

  it('what is not seen is not measurable, what is seen is', () => {
    expect(Object.values(bare.truth.measurable).every((m) => m)).toBe(true);
    const front = makeScan({ ...BARE, spacing: 2.5, view: 'front' });
    expect(front.truth.measurable['neckAngle']).toBe(true);
    expect(front.truth.measurable['neckThicknessNut']).toBe(false);
    expect(front.truth.reasons['neckThicknessNut']).toContain('neck');
    const half = makeScan({ ...BARE, spacing: 2.5, view: 'topHalf' });
    expect(half.truth.measurable['bodyLength']).toBe(false);
  });

  it.each([
    ['viola', 'modern'],
    ['cello', 'modern'],
    ['bass', 'modern'],
    ['violin', 'early'],
    ['cello', 'early'],
  ] as const)('%s, %s set: every value is a number of the right size', (kind, set) => {
    const { values, secondary } = makeScan({ ...BARE, class: kind, set, spacing: 9 }).truth;
    for (const [id, value] of Object.entries({ ...values, ...secondary })) expect(value, id).toSatisfy(Number.isFinite);
    expect(values['stop'] / values['bodyLength']).toBeGreaterThan(0.5);
    expect(values['stop'] / values['bodyLength']).toBeLessThan(0.59);
    expect(values['heelLean']).toBeGreaterThan(1);
    expect(values['projection']).toBeGreaterThan(10);
  });
});

describe('the tools of the second model', { timeout: 60_000 }, () => {
  it('distance to the arcs is that to a dense polyline', () => {
    const chain = new ArcChain([
      { x: 0, y: 0, arrive: Math.PI / 2, leave: Math.PI / 2 },
      { x: 30, y: 25, arrive: 0, leave: -0.6 },
      { x: 80, y: 20, arrive: -0.2, leave: -0.2 },
      { x: 100, y: 0, arrive: -Math.PI / 2, leave: -Math.PI / 2 },
      { x: 50, y: -30, arrive: -Math.PI, leave: -Math.PI },
    ]);
    const random = new Random(3);
    const q = new Float64Array(4);
    for (let n = 0; n < 60; n++) {
      const [x, y] = [random.between(5, 95), random.between(-20, 15)];
      let best = Infinity;
      for (let i = 0; i < 4000; i++) {
        chain.at((i / 4000) * chain.length, q);
        best = Math.min(best, Math.hypot(q[0] - x, q[1] - y));
      }
      expect(Math.abs(chain.distance(x, y))).toBeCloseTo(best, 2);
    }
    expect(chain.distance(50, 0)).toBeGreaterThan(0);
    expect(chain.distance(50, -40)).toBeLessThan(0);
  });

  it.each(['gaussian', 'exponential'] as const)('the %s field has its variance and covariance', (kernel) => {
    let [v, c] = [0, 0];
    const n = 200;
    for (let i = 0; i < n; i++) {
      const f = drawField(2, 50, kernel, new Random(1000 + i));
      const a = f(3, 4, 5);
      v += (a * a) / n;
      c += (a * f(33, 4, 45)) / n;
    }
    // both kernels are exp(-1) at the distance L
    const model = Math.exp(-1);
    expect(v / 4).toBeGreaterThan(0.72);
    expect(v / 4).toBeLessThan(1.3);
    expect(Math.abs(c / 4 - model)).toBeLessThan(0.25);
  });

  it('circle of Gander, Golub, Strebel (BIT 34, 1994): geometric radius 4.714226', () => {
    expect(fitCircle([1, 2, 5, 7, 9, 3], [7, 6, 8, 7, 5, 7])).toBeCloseTo(4.714226, 5);
  });

  it('a straightedge spans a hollow and rocks on a hump', () => {
    const x = Array.from({ length: 101 }, (_, i) => i);
    const hollow = straightedge(
      x,
      x.map((t) => 3 + 0.1 * t - Math.sin((Math.PI * t) / 100)),
    );
    expect(hollow.slope).toBeCloseTo(0.1, 12);
    expect(hollow.span).toBe(1);
    expect(
      straightedge(
        x,
        x.map((t) => Math.sin((Math.PI * t) / 100)),
      ).span,
    ).toBeLessThan(0.1);
  });
});
