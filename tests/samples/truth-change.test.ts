import { describe, expect, it } from 'vitest';
import { random } from '../../src/numerics/random.ts';
import { changedInstrument, type InstrumentChange, NO_CHANGE } from '../../src/samples/changed-instrument.ts';
import { buildInstrument, randomSpec } from '../../src/samples/instrument.ts';
import { NO_NECK_CHANGE } from '../../src/samples/neck-change.ts';
import { trueFrame } from '../../src/samples/truth-frame.ts';
import { framedSurface } from '../../src/samples/truth-surface.ts';
import { changeTruth } from '../../src/samples/truth-change.ts';

const DEGREE = Math.PI / 180;
const violin = buildInstrument(randomSpec('violin', 'modern', random('change truth')));
const truthOf = (change: Partial<InstrumentChange>) => changeTruth(violin, { ...NO_CHANGE, ...change });

describe('truth of a change', () => {
  it('is nothing where nothing changed', () => {
    const { changes, neckShift, differences } = truthOf({});
    // mm, degrees: rounding of the evaluation.
    for (const v of [...Object.values(changes), ...neckShift, ...Object.values(differences)]) expect(Math.abs(v)).toBeLessThan(1e-7);
  });

  it('has pitch, root and bend as they were put in, and all of the change of projection in the neck', () => {
    const { changes, differences } = truthOf({ neck: { ...NO_NECK_CHANGE, root: 0.2 * DEGREE, bend: 0.15 * DEGREE, yaw: -0.1 * DEGREE } });
    expect(changes.neckPitch).toBeCloseTo(0.35, 6);
    expect(changes.neckYaw).toBeCloseTo(-0.1, 6);
    expect(changes.heelRootRotation).toBeCloseTo(0.2, 6);
    expect(changes.heelBend).toBeCloseTo(0.15, 6);
    // The board line turns with the wood; yaw lends it a little of the second order.
    expect(differences.neckAngle).toBeCloseTo(-0.35, 3);
    expect(differences.boardYaw).toBeCloseTo(-0.1, 2);
    expect(changes.projectionByNeck).toBeCloseTo(differences.projection, 3);
    expect(Math.abs(changes.projectionByBoard)).toBeLessThan(2e-3 /* mm: the line touches a ridge seen along another direction */);
    expect(differences.widthLower).toBeCloseTo(0, 9);
  });

  it('has the bend of a warped neck over the chord of its back, which neither turns nor shifts', () => {
    const { changes, neckShift } = truthOf({ neck: { ...NO_NECK_CHANGE, warp: 0.4 } });
    // Square to the chord, not along z.
    expect(changes.neckBend).toBeGreaterThan(0.39);
    expect(changes.neckBend).toBeLessThan(0.4);
    expect(changes.neckPitch).toBe(0);
    expect(neckShift.map(Math.abs)).toEqual([0, 0, 0]);
    // The neck carries the board, so the board's hollow deepens.
    expect(changes.projectionByBoard).not.toBe(0);
  });

  it('turns neck and heel root with a block that gives way, by as much as the block', () => {
    const angle = 0.3 * DEGREE;
    const { changes } = truthOf({ block: angle });
    // The registration of the rest of the body takes up what its bent part shows.
    expect(changes.blockRotation).toBeCloseTo(0.3, 1);
    expect(changes.neckPitch).toBeCloseTo(changes.blockRotation, 9);
    expect(changes.heelRootRotation).toBeCloseTo(changes.blockRotation, 9);
    expect(changes.heelBend).toBe(0);
    expect(changes.bodyResidual).toBeGreaterThan(0);
  });

  it('bends the body without a step where the block ends', () => {
    const { deform } = changedInstrument(violin, { ...NO_CHANGE, block: 0.5 * DEGREE }).body;
    const L = trueFrame(violin).bodyLength;
    const risen = (share: number) => {
      const p = Float64Array.of(share * L, 20, 0);
      const q = p.slice();
      violin.body.deform(p);
      deform(q);
      return q[2] - p[2];
    };
    const rises = Array.from({ length: 401 }, (_, i) => risen((0.25 * i) / 400));
    expect(rises[0]).toBeGreaterThan(0.3 /* mm: half a degree over 43 mm and more */);
    expect(rises[400]).toBe(0);
    for (let i = 1; i < rises.length; i++) {
      expect(rises[i - 1] - rises[i]).toBeGreaterThanOrEqual(-1e-9);
      expect(rises[i - 1] - rises[i]).toBeLessThan(0.01 /* mm a step of 0.2 mm */);
    }
  });

  it('puts a planed, a bent and another board down to the board', () => {
    const planed = truthOf({ board: { planed: { nut: 0.1, end: 0.3 }, bent: 0 } });
    const bent = truthOf({ board: { planed: { nut: 0, end: 0 }, bent: -0.3 } });
    const old = violin.spec.neck.board;
    const other = truthOf({
      board: { planed: { nut: 0, end: 0 }, bent: 0, replaced: { ...old, length: old.length + 2, edgeEnd: old.edgeEnd + 0.8 } },
    });
    for (const { changes, differences, neckShift } of [planed, bent, other]) {
      expect(changes.neckPitch).toBe(0);
      expect(neckShift.map(Math.abs)).toEqual([0, 0, 0]);
      expect(changes.projectionByBoard).toBeCloseTo(differences.projection, 9);
    }
    expect(planed.changes.projectionByBoard).toBeLessThan(-0.2);
    expect(bent.changes.projectionByBoard).toBeLessThan(-0.15);
    expect(other.changes.projectionByBoard).toBeGreaterThan(0.4);
    expect(other.differences.boardLength).toBeCloseTo(2, 1);
    expect(other.differences.neckThicknessHeel).toBeGreaterThan(0.1);
  });

  it('refers a swollen top to the whole body', () => {
    const { changes, differences, registration } = truthOf({ swell: 0.4 });
    expect(changes.projectionByArch).toBeLessThan(-0.1);
    expect(differences.archHeight).toBeGreaterThan(0.1);
    expect(changes.bodyResidual).toBeGreaterThan(0.01);
    // Over all of the body the rise has a mean, which the registration takes up.
    expect(Math.abs(registration[11])).toBeGreaterThan(1e-3);
    expect(changes.projectionByNeck + changes.projectionByBoard + changes.projectionByArch).toBeCloseTo(differences.projection, 9);
  });

  it('gives no root and bend across a heel that was recut', () => {
    const { changes, differences } = truthOf({ recut: { lean: violin.spec.neck.heel.lean + 0.02 } });
    expect(changes.heelRootRotation).toBeUndefined();
    expect(changes.heelBend).toBeUndefined();
    expect(differences.heelLean).toBeCloseTo(0.02 / DEGREE, 1);
  });

  it('leaves the first state as it is', () => {
    const later = changedInstrument(violin, { ...NO_CHANGE, neck: { ...NO_NECK_CHANGE, root: DEGREE }, block: DEGREE, swell: 1 });
    expect(later).not.toBe(violin);
    expect(framedSurface(later).playing(0, 0)).not.toEqual(framedSurface(violin).playing(0, 0));
    expect(Math.abs(changeTruth(violin, NO_CHANGE).changes.neckPitch)).toBe(0);
  });
});
