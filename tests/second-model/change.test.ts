import { describe, expect, it } from 'vitest';
import { changedBody } from './body-change.ts';
import { registerBody } from './body-registration.ts';
import { type Change, type ChangeTruth, NO_CHANGE } from './change.ts';
import { fitRigid } from './fit-points.ts';
import { findFrame, type TrueFrame } from './frame.ts';
import { carriedFrame } from './later-frame.ts';
import { makePair } from './make-pair.ts';
import { drawInstrument, type ScanOptions } from './make-scan.ts';
import type { Neck } from './neck.ts';
import { changedNeck } from './neck-change.ts';
import { warpCurve } from './neck-warp.ts';
import { labelCode } from './patch.ts';
import { Random } from './random.ts';
import { applyRigid, rotationVector } from './rigid.ts';
import { measureTruth } from './truth.ts';

const OPTIONS: ScanOptions = { seed: 11, quality: 'clean', fittings: 'bare', spacing: 7, form: 'cloud' };
const DEG = 180 / Math.PI;
const pair = makePair(OPTIONS);
const base = pair.baseline.truth;
const of = (change: Partial<Change>): ChangeTruth => pair.later({ ...NO_CHANGE, ...change }, { seed: 5 }).truth();
const sum = ({ changes: c }: ChangeTruth): number => c['projectionByNeck'] + c['projectionByBoard'] + c['projectionByArch'];

// the functions of the same instrument, for the checks that measure points themselves
const { instrument } = drawInstrument(OPTIONS, new Random(OPTIONS.seed));
const frame = findFrame(instrument.body, instrument.neck);
const whole = measureTruth(instrument.body, instrument.neck, frame, 'violin', 'modern', undefined, undefined, undefined);

/** the instrument after a change, and the registered frame */
function changed(change: Partial<Change>) {
  const full = { ...NO_CHANGE, ...change };
  const { body, block } = changedBody(instrument.body, frame, full);
  const { neck } = changedNeck(instrument.neck, frame, whole, full, block);
  const { motion } = registerBody(instrument.body, body, instrument.neck, frame, full.block !== 0);
  return { body, neck, frame: carriedFrame(frame, instrument.neck, body, neck, motion) };
}

/** back and sides of the wood from 15 to 75 % of the neck's length, in a frame; the same places of the wood whatever the neck */
function woodPoints(neck: Neck, f: TrueFrame): Float64Array {
  const out: number[] = [];
  const p = new Float64Array(3);
  const before = new Float64Array(3);
  const length = base.values['neckLength'];
  for (let i = 0; i < neck.sections; i += 8)
    for (let phi = -1.4; phi <= 1.4; phi += 0.2) {
      neck.loft(i, phi, p);
      instrument.neck.place(p[0], p[1], p[2], before);
      frame.to(before[0], before[1], before[2], before);
      if (before[0] < -0.85 * length || before[0] > -0.27 * length) continue;
      neck.place(p[0], p[1], p[2], p);
      f.to(p[0], p[1], p[2], p);
      out.push(p[0], p[1], p[2]);
    }
  return Float64Array.from(out);
}

describe('the second model’s later scans', { timeout: 60_000 }, () => {
  it('nothing changed: nothing differs', () => {
    const t = of({});
    for (const [id, v] of [...Object.entries(t.changes), ...Object.entries(t.differences)]) expect(Math.abs(v), id).toBeLessThan(1e-6);
    expect(Math.hypot(...t.neckShift)).toBeLessThan(1e-6);
    expect(t.differences['stop'] ?? t.differences['stopRatio']).toBeUndefined();
  });

  it('turn in the joint: the projection falls by the lever from the button to the bridge', () => {
    const t = of({ root: 0.3 });
    expect(t.changes['neckPitch']).toBeCloseTo(0.3, 9);
    expect(t.changes['heelRootRotation']).toBeCloseTo(0.3, 9);
    expect(t.changes['heelBend']).toBe(0);
    // the pivot lies at the button, half its length before the joint; the board line is rotated about it, as drawn by hand:
    // a line z0 + m·x turned by a about (x0, z) falls at the station by about (station − x0)·a·(1 + m²) and shifts by height·m·a
    const a = 0.3 / DEG;
    const m = base.profiles.boardLine.slope;
    const x0 = -instrument.neck.dims.buttonLength / 2;
    const high = base.secondary['heelHeight'] + instrument.neck.surface(0, 0);
    const byHand = -(base.values['stop'] - x0) * a - m * (high + m * base.values['stop']) * a;
    expect(t.differences['projection'] / byHand).toBeGreaterThan(0.97);
    expect(t.differences['projection'] / byHand).toBeLessThan(1.03);
    expect(t.changes['projectionByNeck']).toBeCloseTo(t.differences['projection'], 3);
    // board angle and heel turn as the wood does; 15 to 50 % of a height that grew a little is another stretch of a curved contour
    expect(t.differences['neckAngle']).toBeCloseTo(-0.3, 4);
    expect(t.differences['heelLean']).toBeLessThan(-0.2);
  });

  it('bending of the heel: all of the pitch, half of the forward shift', () => {
    const [t, r] = [of({ bend: 0.3 }), of({ root: 0.3 })];
    expect(t.changes['neckPitch']).toBeCloseTo(0.3, 9);
    expect(t.changes['heelBend']).toBe(0.3);
    expect(t.changes['heelRootRotation']).toBeCloseTo(0, 9);
    // at the heel's top the axis has gone forward by h·θ when the foot turns, by the integral h·θ/2 when the heel bends
    const gone = (r.neckShift[0] - t.neckShift[0]) / ((base.secondary['heelHeight'] * 0.3) / DEG / 2);
    expect(gone).toBeGreaterThan(0.98);
    expect(gone).toBeLessThan(1.02);
  });

  it('warp: the sagitta alone changes', () => {
    const t = of({ warp: 0.25 });
    expect(t.changes['neckBend'] / 0.25).toBeGreaterThan(0.98);
    expect(t.changes['neckBend'] / 0.25).toBeLessThan(1.02);
    expect(Math.abs(t.changes['neckPitch'])).toBeLessThan(0.003);
    expect(Math.hypot(...t.neckShift)).toBeLessThan(0.003);
    // the heel below its throat is not touched
    expect(Math.abs(t.differences['heelLean'])).toBeLessThan(0.002);
    // and so it is for the back's points: the chord's ends stay, the middle goes down
    const later = changed({ warp: 0.25 });
    const [a, b] = [woodPoints(instrument.neck, frame), woodPoints(later.neck, later.frame)];
    const moved = (share: number): number => {
      let best = [Infinity, 0];
      for (let i = 0; i < a.length; i += 3) {
        const d = Math.abs(a[i] + (1 - share) * base.values['neckLength']) + Math.abs(a[i + 1]);
        if (d < best[0]) best = [d, b[i + 2] - a[i + 2]];
      }
      return best[1];
    };
    expect(moved(0.45)).toBeCloseTo(-0.25, 2);
    expect(Math.abs(moved(0.16))).toBeLessThan(0.05);
  });

  it('the warp’s curve and its slope belong together and have no kink', () => {
    for (let t = 0.02; t < 1.1; t += 0.013) {
      const e = 1e-5;
      expect((warpCurve(t + e)[0] - warpCurve(t - e)[0]) / (2 * e)).toBeCloseTo(warpCurve(t)[1], 5);
    }
    for (const t of [0.15, 0.75, 1]) {
      const bend = (s: number): number => (warpCurve(t + s * 2e-5)[1] - warpCurve(t + s * 1e-5)[1]) / (s * 1e-5);
      expect(Math.abs(bend(1) - bend(-1))).toBeLessThan(0.1);
    }
    expect(warpCurve(0.45)[0]).toBeCloseTo(1, 12);
    expect(Math.abs(warpCurve(0.15)[0]) + Math.abs(warpCurve(0.75)[0])).toBeLessThan(1e-12);
  });

  it.each([{ planed: -0.5 }, { bent: -0.3 }, { bent: 0.3 }])('the board alone: %j', (change) => {
    const t = of(change);
    const asked = (change.planed ?? 0) + (change.bent ?? 0);
    expect(t.changes['projectionByNeck']).toBeCloseTo(0, 9);
    expect(t.changes['projectionByBoard'] / asked).toBeGreaterThan(0.95);
    expect(t.changes['projectionByBoard'] / asked).toBeLessThan(1.05);
    expect(t.differences['projection']).toBeCloseTo(t.changes['projectionByBoard'], 9);
    // a planed board is thinner at its end, a bent one is not; a bent one carries its underside with it
    if (change.planed) expect(t.differences['boardEdgeEnd']).toBeLessThan(-0.3);
    else expect(Math.abs(t.differences['boardEdgeEnd'])).toBeLessThan(0.01);
    if (change.planed) expect(Math.abs(t.differences['overstand'])).toBeLessThan(1e-6);
    else expect(Math.abs(t.differences['bedAngle'])).toBeGreaterThan(0.05);
  });

  it('the arch rises: the bridge’s foot with it, the registered body lets part of it go', () => {
    const t = of({ arch: 0.3 });
    expect(t.changes['projectionByArch']).toBeGreaterThan(-0.3);
    // of top, back and ribs the rise takes up less than a fifth: so much the least squares move the body at most
    expect(t.changes['projectionByArch']).toBeLessThan(-0.22);
    expect(t.changes['bodyResidual']).toBeGreaterThan(0.03);
    expect(t.changes['bodyResidual']).toBeLessThan(0.15);
    expect(t.changes['projectionByBoard']).toBeCloseTo(0, 4);
    expect(sum(t)).toBeCloseTo(t.differences['projection'], 9);
    // against its own edge the arch has risen by nearly all
    const later = changed({ arch: 0.3 });
    const [x, y] = [instrument.neck.dims.body / 2, 0];
    const d = instrument.body.distance(x, y);
    expect(later.body.top(x, y, d) - instrument.body.top(x, y, d)).toBeCloseTo(0.3, 3);
  });

  it('the block turns: ribs and back near it as much, the neck with it, the body’s rest little', () => {
    const t = of({ block: 0.3 });
    expect(t.changes['blockRotation']).toBeGreaterThan(0.28);
    expect(t.changes['blockRotation']).toBeLessThan(0.3);
    expect(t.changes['neckPitch']).toBeCloseTo(t.changes['blockRotation'], 4);
    expect(t.changes['heelBend']).toBe(0);
    // the ribs within 12 % of the length, fitted as points
    const later = changed({ block: 0.3 });
    const [from, to]: number[][] = [[], []];
    const [p, q] = [new Float64Array(3), new Float64Array(4)];
    for (let s = -110; s <= 110; s += 2)
      for (const z of [-10, -20, -30]) {
        instrument.body.outline.at(s, q);
        frame.to(q[0], q[1], z, p);
        if (p[0] > 0.115 * base.values['bodyLength']) continue;
        from.push(...p);
        later.body.moved(q[0], q[1], z, p);
        later.frame.to(p[0], p[1], p[2], p);
        to.push(...p);
      }
    const turned = rotationVector(fitRigid(Float64Array.from(from), Float64Array.from(to))).map((v) => v * DEG);
    expect(turned[1]).toBeCloseTo(t.changes['blockRotation'], 4);
    expect(sum(t)).toBeCloseTo(t.differences['projection'], 9);
    // there and back
    later.body.moved(70, 20, -25, p);
    later.body.unmoved(p[0], p[1], p[2], p);
    expect(Math.hypot(p[0] - 70, p[1] - 20, p[2] + 25)).toBeLessThan(1e-8);
  });

  it('all at once: points of the neck’s back and sides, fitted rigidly, show the true motion', () => {
    const change = {
      root: 0.2,
      bend: 0.15,
      yaw: 0.12,
      roll: -0.2,
      shift: [0.15, -0.1],
      block: 0.1,
      planed: -0.2,
      bent: 0.1,
      arch: 0.2,
    } as const;
    const t = of(change);
    const later = changed(change);
    const fit = fitRigid(woodPoints(instrument.neck, frame), woodPoints(later.neck, later.frame));
    const [roll, pitch, yaw] = rotationVector(fit).map((v) => v * DEG);
    expect(Math.abs(pitch - t.changes['neckPitch'])).toBeLessThan(0.002);
    expect(Math.abs(yaw - t.changes['neckYaw'])).toBeLessThan(0.002);
    expect(Math.abs(roll - t.changes['neckRoll'])).toBeLessThan(0.002);
    const joint = [
      0,
      base.values['boardOffset'] - Math.tan(base.values['boardYaw'] / DEG) * base.values['stop'],
      base.profiles.boardLine.z0,
    ];
    const p = new Float64Array(3);
    applyRigid(fit, joint[0], joint[1], joint[2], p);
    for (let c = 0; c < 3; c++) expect(Math.abs(p[c] - joint[c] - t.neckShift[c])).toBeLessThan(0.005);
    expect(sum(t)).toBeCloseTo(t.differences['projection'], 9);
    // signs: the scroll end to the bass side, the treble side down
    expect(yaw).toBeGreaterThan(0.1);
    expect(roll).toBeLessThan(-0.15);
    // a place in the heel and back: what cuts neck from body uses the inverse
    later.neck.place(-15, 3, -20, p);
    later.neck.unplace(p[0], p[1], p[2], p);
    expect(Math.hypot(p[0] + 15, p[1] - 3, p[2] + 20)).toBeLessThan(1e-8);
  });

  it('the scan’s own points lie where the truth says: board line from the later cloud, top at the station', () => {
    const change: Change = { ...NO_CHANGE, root: 0.25, shift: [0.1, 0.2], arch: 0.2, planed: -0.2, block: 0.1 };
    const scan = pair.later(change, { seed: 9, spacing: 1.2, unit: 'in' });
    const t = scan.truth();
    const station = base.values['stop'];
    const line = (x: number, angle: number, at: number): number => at + Math.tan(angle / DEG) * (x - station);
    const before = base.profiles.boardLine;
    const height = before.z0 + before.slope * station + t.changes['projectionByNeck'] + t.changes['projectionByBoard'];
    const angle = base.values['neckAngle'] + t.differences['neckAngle'];
    const far = base.values['boardLength'] - base.values['neckLength'];
    const gaps: number[] = [];
    const foot: number[] = [];
    const F = scan.frame;
    let worst = 0;
    for (let i = 0; i < scan.labels.length; i++) {
      const [x, y, z] = scan.exact.subarray(i * 3, i * 3 + 3);
      const s = scan.positions.subarray(i * 3, i * 3 + 3);
      worst = Math.max(worst, Math.abs(F[0] * s[0] + F[1] * s[1] + F[2] * s[2] + F[3] - x));
      if (scan.labels[i] === labelCode('board') && Math.abs(y) < 1 && x > 3 - base.values['neckLength'] && x < far - 3)
        gaps.push(line(x, angle, height) - z);
      if (scan.labels[i] === labelCode('top') && Math.hypot(x - station, y) < 3) foot.push(z);
    }
    // no point above a straightedge, and the nearest touch it
    expect(Math.min(...gaps)).toBeGreaterThan(-0.004);
    expect(Math.min(...gaps)).toBeLessThan(0.03);
    const z = foot.reduce((a, b) => a + b, 0) / foot.length;
    expect(height - z - base.values['projection'] - t.differences['projection']).toBeCloseTo(0, 1);
    // position errors are the scanner's noise, so pose, unit and registration fit together
    expect(worst).toBeGreaterThan(0.02);
    expect(worst).toBeLessThan(6.5 * base.noise.sigma);
  });

  it('the bridge station may be given; the same look gives the same scan, the baseline stays', () => {
    const change = { ...NO_CHANGE, root: 0.3 };
    const [one, two, other] = [5, 5, 6].map((seed) => pair.later(change, { seed, spacing: 8 }));
    expect(Buffer.from(two.positions.buffer).equals(Buffer.from(one.positions.buffer))).toBe(true);
    expect(other.positions[0]).not.toBe(one.positions[0]);
    // 10 mm further from the pivot: 10 mm × angle more
    const more = one.truth(base.values['stop'] + 10).differences['projection'] - one.truth().differences['projection'];
    expect(more).toBeCloseTo((-10 * 0.3) / DEG, 2);
  });
});
