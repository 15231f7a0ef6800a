import { describe, expect, it } from 'vitest';
import { random } from '../../src/numerics/random.ts';
import { meanAndSd } from '../../src/numerics/statistics.ts';
import { judgeScore } from './judge-score.ts';
import { measurandFigures } from './measurand-figures.ts';
import type { Score } from './study-result.ts';

const score = (id: string, error: number, u: number, more: Partial<NonNullable<Score['given']>> = {}, uTruth = 0): Score => ({
  id,
  truth: 10,
  uTruth,
  supported: true,
  given: { value: 10 + error, u, U95: 1.96 * u, quality: 'good', basis: 'measured', ...more },
});

describe('pulls are twice the Eₙ score where both expanded uncertainties are twice the standard ones', () => {
  // READ: NIST Dataplot reference, "ISO 13528 EN SCORE", with the diameters of the first of its ten batches of gears; the standard deviation of all hundred is CALC.
  const batch = [1.006, 0.996, 0.998, 1, 0.992, 0.993, 1.002, 0.999, 0.994, 1];
  const sdAll = 0.0062789049;
  it.each([
    [0, 0.392859],
    [1, -0.261906],
    [2, -0.130953],
    [3, 0],
  ])('gear %i', (k, en) => {
    const { sd } = meanAndSd(batch);
    const given = { value: batch[k], u: sd, U95: 2 * sd, quality: 'good', basis: 'measured' } as const;
    const judged = judgeScore({ id: 'projection', truth: 1, uTruth: sdAll, supported: true, given });
    expect((judged?.pull ?? Number.NaN) * Math.hypot(sd, sdAll)).toBeCloseTo(batch[k] - 1, 12);
    expect((judged?.pull ?? Number.NaN) / 2).toBeCloseTo(en, 5);
  });
});

describe('a value held against its truth', () => {
  it('is wrong only when both limits are passed', () => {
    expect(judgeScore(score('projection', 0.3, 0.05))?.wrong).toBe(true);
    expect(judgeScore(score('projection', 0.3, 0.07))?.wrong).toBe(false); // 4.3 u
    expect(judgeScore(score('projection', 0.14, 0.001))?.wrong).toBe(false); // below 0.15 mm
    expect(judgeScore(score('boardRadiusEnd', 1.9, 0.01))?.wrong).toBe(false); // below 2 mm
    expect(judgeScore(score('stopRatio', 0.006, 0.001))?.wrong).toBe(true);
  });

  it('is silently wrong unless it is called poor', () => {
    expect(judgeScore(score('neckAngle', -1, 0.01))?.silent).toBe(true);
    expect(judgeScore(score('neckAngle', -1, 0.01, { quality: 'poor' }))).toMatchObject({ wrong: true, silent: false });
  });

  it('is inside an interval widened by the uncertainty of the truth', () => {
    expect(judgeScore(score('stop', 0.25, 0.1))?.inside).toBe(false);
    expect(judgeScore(score('stop', 0.25, 0.1, {}, 0.1))?.inside).toBe(true); // 1.96·√(0.1² + 0.1²) = 0.277
  });

  it('is asked about the ends of an interval that is not symmetrical', () => {
    const lopsided = { low: 10, high: 10.5 };
    expect(judgeScore(score('heelBow', 0.3, 0.2, lopsided))?.inside).toBe(true);
    expect(judgeScore(score('heelBow', 0.3, 0.2, { low: 10.1, high: 11 }))?.inside).toBe(false);
  });

  it('is nothing where the record has no value', () => {
    expect(judgeScore({ id: 'stop', truth: 1, uTruth: 0, supported: true, absent: 'not seen' })).toBeUndefined();
  });
});

describe('figures of a measurand', () => {
  const N = 4000;
  const stream = random('figures');
  const errors = Array.from({ length: N }, () => stream.normal());

  it('are those of a normal distribution where errors and intervals are', () => {
    const f = measurandFigures(
      'projection',
      errors.map((e) => score('projection', 0.02 * e, 0.02)),
    );
    // Standard error of a share of 95 % among 4000: 0.0034; of an RMS: 1.1 %; three of each.
    expect(Math.abs(f.coverage - 0.95)).toBeLessThan(0.0104);
    expect(Math.abs(f.pullRms - 1)).toBeLessThan(0.034);
    expect(Math.abs(f.rms / 0.02 - 1)).toBeLessThan(0.034);
    expect(f.coverageLow).toBeLessThan(0.95);
    expect(f.coverageHigh).toBeGreaterThan(0.95);
    expect(Math.abs(f.widthRatio - 1)).toBeLessThan(0.05);
    expect(f).toMatchObject({ n: N, wrong: 0, silent: 0, supported: N, good: N, absentThoughSupported: 0 });
  });

  it('show intervals that are twice too wide or too narrow', () => {
    const wide = measurandFigures(
      'projection',
      errors.map((e) => score('projection', 0.02 * e, 0.04)),
    );
    expect(wide.coverage).toBeGreaterThan(0.998);
    expect(Math.abs(wide.widthRatio - 2)).toBeLessThan(0.1);
    const narrow = measurandFigures(
      'projection',
      errors.map((e) => score('projection', 0.02 * e, 0.01)),
    );
    expect(narrow.coverage).toBeLessThan(0.7);
    expect(Math.abs(narrow.scaleTo95 - 2)).toBeLessThan(0.1);
    expect(Math.abs(narrow.pullRms - 2)).toBeLessThan(0.07);
  });

  it('count what is missing and what should be', () => {
    const f = measurandFigures('stop', [
      score('stop', 0, 1, { quality: 'poor' }),
      { id: 'stop', truth: 1, uTruth: 0, supported: true, absent: 'not seen' },
      { id: 'stop', truth: 1, uTruth: 0, supported: false, absent: 'not seen' },
      { ...score('stop', 0, 1), supported: false },
    ]);
    expect(f).toMatchObject({ n: 2, supported: 2, good: 0, absentThoughSupported: 1, givenThoughUnsupported: 1 });
  });
});
