import { describe, expect, it } from 'vitest';
import { MEASURANDS } from '../../src/measurands/measurands.ts';
import { random } from '../../src/numerics/random.ts';
import { aimSpec } from '../../src/samples/aim-spec.ts';
import { buildInstrument, type InstrumentSpec, randomSpec } from '../../src/samples/instrument.ts';
import { buildNeck } from '../../src/samples/neck.ts';
import { instrumentTruth } from '../../src/samples/truth.ts';
import { circleRadius, supportLine } from '../../src/samples/truth-lines.ts';
import { plainViolin } from './plain-instrument.ts';

const DEGREE = Math.PI / 180;
const truthOf = (spec: InstrumentSpec) => instrumentTruth(buildInstrument(spec));
const withNeck = (spec: InstrumentSpec, neck: Partial<InstrumentSpec['neck']>): InstrumentSpec => ({
  ...spec,
  neck: { ...spec.neck, ...neck },
});

describe('truth of the model instrument', () => {
  const plain = plainViolin();

  it('names every headline measurand', () => {
    const { values, secondary } = truthOf(randomSpec('violin', 'modern', random(5)));
    for (const { id, group } of MEASURANDS) if (group !== 'secondary') expect(values[id], id).toBeTypeOf('number');
    for (const [id, value] of Object.entries({ ...values, ...secondary })) expect(Number.isFinite(value), id).toBe(true);
  });

  // Projection per degree of tilt about the board line's point at x = 0: stop · (tan(t + 1°) − tan t); worked out, no source needed.
  it.each([
    { from: 0, stop: 195, expected: 3.404 },
    { from: 7, stop: 195, expected: 3.462 },
  ])('gains $expected mm of projection for one degree from $from° at $stop mm', ({ from, stop, expected }) => {
    const level = aimSpec(plain, { neckAngle: from, stop });
    const tilted = aimSpec(level, { neckAngle: from + 1, stop });
    const a = truthOf(level);
    const b = truthOf(tilted);
    const z0 = b.profiles.boardLine.z0 - a.profiles.boardLine.z0;
    expect(b.values.projection - a.values.projection - z0).toBeCloseTo(expected, 2);
    expect(b.values.neckAngle - a.values.neckAngle).toBeCloseTo(1, 4);
    expect(b.values.boardTwist).toBeCloseTo(a.values.boardTwist, 4);
  });

  // A cello's stop: 400 · tan 1° = 6.982.
  it('gains 6.982 mm for one degree from a level line at a stop of 400 mm', () => {
    const cello = aimSpec(randomSpec('cello', 'modern', random(2)), { neckAngle: 0, stop: 400 });
    const tilted = aimSpec(cello, { neckAngle: 1, stop: 400 });
    const [a, b] = [truthOf(cello), truthOf(tilted)];
    const z0 = b.profiles.boardLine.z0 - a.profiles.boardLine.z0;
    expect(b.values.projection - a.values.projection - z0).toBeCloseTo(6.982, 2);
  });

  // Petherick, The Repairing & Restoration of Violins, 1903 (neck 5 1/8 in, root 1/4 in over the border); Mayson, Violin Making, 1909
  // (board's end 13/16 in over the belly): 130.2, 6.35 and 20.6 mm come back when the model is built to them.
  it('gives back the figures it was built to', () => {
    const { values } = truthOf(aimSpec(plain, { neckLength: 130.2, overstand: 6.35, boardEndHeight: 20.6 }));
    expect(values.neckLength).toBeCloseTo(130.2, 2);
    expect(values.overstand).toBeCloseTo(6.35, 2);
    expect(values.boardEndHeight).toBeCloseTo(20.6, 2);
  });

  it('gives back the short neck of old instruments, 114.3 mm', () => {
    const { values } = truthOf(aimSpec(randomSpec('violin', 'early', random(3)), { neckLength: 114.3 }));
    expect(values.neckLength).toBeCloseTo(114.3, 2);
  });

  // fixitwithshading.com, "Fingerboard Geometry 2": sides scooped .75 and .25 under a constant radius of 42 mm leave .68 in the middle.
  it('needs 0.68 mm in the middle for sides of 0.75 and 0.25 mm under a constant radius of 42 mm', () => {
    const board = { ...plain.neck.board, widthNut: 24.5, widthEnd: 38.5, edgeNut: 5, edgeEnd: 5, radiusNut: 42, radiusEnd: 42 };
    const { body } = buildInstrument(plain);
    // Half-spans of the outer lines 8.25 mm at the nut and 15.25 mm at the end, 4 mm in from the arrises.
    const read = (scoopBass: number, scoopCentre: number, scoopTreble: number) => {
      const neck = buildNeck({ ...plain.neck, board: { ...board, scoopBass, scoopCentre, scoopTreble } }, body);
      const gap = (side: -1 | 0 | 1) => {
        const x = Array.from({ length: 401 }, (_, k) => neck.boardStart + (board.length * k) / 400);
        const z = x.map((v) => neck.surfaceZ(v, side === 0 ? 0 : neck.upperY(v, side) - 4 * side));
        const line = supportLine(x, z);
        return Math.max(...x.map((v, k) => line.z0 + line.slope * v - z[k]));
      };
      const middle = (neck.boardStart + neck.boardEnd) / 2;
      const y = Array.from({ length: 81 }, (_, k) => -14 + (28 * k) / 80);
      return {
        bass: gap(-1),
        centre: gap(0),
        treble: gap(1),
        radius: circleRadius(
          y,
          y.map((v) => neck.surfaceZ(middle, v)),
        ),
      };
    };
    const solve = (radius: number) => {
      let [bass, centre, treble] = [0.75, 0.6, 0.25];
      for (let k = 0; k < 200; k++) {
        const r = read(bass, centre, treble);
        bass += 0.75 - r.bass;
        treble += 0.25 - r.treble;
        // A deeper middle is a flatter one: 12 mm off it, 0.04 mm more depth changes the radius by about 1 mm.
        centre += 0.02 * (radius - r.radius);
      }
      return read(bass, centre, treble);
    };
    const cylinder = solve(42);
    expect(cylinder.bass).toBeCloseTo(0.75, 3);
    expect(Math.abs(cylinder.centre - 0.68)).toBeLessThan(0.03);
    expect(Math.abs(solve(38).centre - 0.5)).toBeLessThan(0.06);
  });

  it('rolls, yaws and shifts as asked', () => {
    const base = truthOf(plain).values;
    const rolled = truthOf(withNeck(plain, { roll: 1.2 * DEGREE })).values;
    expect(rolled.boardTilt - base.boardTilt).toBeCloseTo(1.2, 2);
    expect(rolled.overstandTreble).toBeGreaterThan(rolled.overstandBass);
    const yawed = truthOf(withNeck(plain, { yaw: 0.5 * DEGREE })).values;
    // The board widens, so its middle at x = 0 moves a little when it is turned.
    expect(Math.abs(yawed.boardYaw - 0.5)).toBeLessThan(0.004);
    const shifted = truthOf(withNeck(plain, { offset: 0.8 })).values;
    expect(shifted.boardOffset - base.boardOffset).toBeCloseTo(0.8, 3);
    const twisted = truthOf(withNeck(plain, { twist: 0.9 * DEGREE })).values;
    expect(Math.abs(twisted.boardTwist - (0.9 * (plain.neck.board.length - 4)) / plain.neck.board.length)).toBeLessThan(0.015);
  });

  it('is symmetrical for a symmetrical instrument', () => {
    const { values, secondary } = truthOf(plain);
    for (const id of ['boardYaw', 'boardOffset', 'boardTilt', 'boardTwist']) expect(Math.abs(values[id]), id).toBeLessThan(0.002);
    expect(values.overstandBass).toBeCloseTo(values.overstandTreble, 3);
    expect(Math.abs(secondary.notchOffset)).toBeLessThan(0.002);
    expect(values.edgeFlatnessPV).toBeLessThan(0.001);
  });

  it('reads lean and bow of a heel drawn with them', () => {
    const heel = { ...plain.neck.heel, lean: 8 * DEGREE, bow: 0 };
    const straight = truthOf(withNeck(plain, { heel })).values;
    expect(straight.heelLean).toBeCloseTo(8, 2);
    expect(Math.abs(straight.heelBow)).toBeLessThan(0.005);
    const hollow = truthOf(withNeck(plain, { heel: { ...heel, bow: -0.4 } })).values;
    expect(hollow.heelBow).toBeLessThan(-0.34);
    expect(hollow.heelBow).toBeGreaterThan(-0.44);
  });

  it('lays the board line on both ends over a scoop and calls a hump one', () => {
    const { values, warnings } = truthOf(
      withNeck(plain, { board: { ...plain.neck.board, scoopBass: 0.6, scoopCentre: 0.6, scoopTreble: 0.6 } }),
    );
    // Two millimetres at each end do not count: the deepest gap loses 0.6 · (1 − (266/270)²).
    expect(values.scoopCentre).toBeCloseTo(0.6 * (1 - 4 / plain.neck.board.length) ** 2, 2);
    expect(warnings).not.toContain('hump');
    const humped = truthOf(withNeck(plain, { board: { ...plain.neck.board, scoopBass: -0.4, scoopCentre: -0.4, scoopTreble: -0.4 } }));
    expect(humped.values.scoopCentre).toBeLessThan(-0.37);
    expect(humped.warnings).toContain('hump');
  });

  it('does not depend on the scan and is the same each time', () => {
    const spec = randomSpec('viola', 'modern', random(11));
    expect(truthOf(spec)).toEqual(truthOf(randomSpec('viola', 'modern', random(11))));
  });
});
