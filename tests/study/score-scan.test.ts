import { describe, expect, it } from 'vitest';
import type { MeasureResult } from '../../src/measures/result.ts';
import { frameError } from './frame-error.ts';
import { scoreScan } from './score-scan.ts';
import type { StudyTruth } from './study-truth.ts';

const TRUTH: StudyTruth = {
  class: 'violin',
  unit: 'mm',
  stopSource: 'notches',
  values: { projection: 27, stop: 195, boardOffset: 1, boardYaw: 45, neckLength: 130, stopRatio: 130 / 195, neckAngle: 7 },
  secondary: { bedAngle: 6 },
  uTruth: { stop: 0.02 },
  measurable: { neckAngle: false },
  floor: { projection: 0.06 },
  frame: [],
  profiles: {
    boardLine: { z0: 15, slope: 0.1 },
    topCentre: [
      [190, 10],
      [200, 12],
    ],
  },
};

function resultWith(values: Readonly<Record<string, number>>): MeasureResult {
  const quantity = (value: number) => ({ value, unit: 'mm', u: 0.1, U95: 0.196, basis: 'measured', quality: 'good', budget: [] });
  const measures = Object.fromEntries(Object.entries(values).map(([id, v]) => [id, quantity(v)]));
  return { measures, absent: [{ measure: 'neckAngle', reason: 'not seen' }] } as unknown as MeasureResult;
}

describe('scoring', () => {
  it("judges what hangs on the station at the record's own, and the station itself by the truth", () => {
    const at = (id: string) => scoreScan(TRUTH, resultWith({ stop: 197, projection: 1 })).find((s) => s.id === id);
    expect(at('projection')?.truth).toBeCloseTo(15 + 0.1 * 197 - 11.4, 12);
    expect(at('boardOffset')?.truth).toBeCloseTo(3, 12); // 1 + 2·tan 45°
    expect(at('stopRatio')?.truth).toBeCloseTo(130 / 197, 12);
    expect(at('stop')).toMatchObject({ truth: 195, uTruth: 0.02 });
  });

  it('keeps the reason of what is absent, and what the model says of support and floor', () => {
    const scores = new Map(scoreScan(TRUTH, resultWith({ stop: 195 })).map((s) => [s.id, s]));
    expect(scores.get('neckAngle')).toMatchObject({ supported: false, absent: 'not seen' });
    expect(scores.get('projection')).toMatchObject({ supported: true, floor: 0.06, absent: 'no reason given' });
    expect(scores.get('bedAngle')?.supported).toBeUndefined();
  });

  it('counts everything of a refused scan as absent', () => {
    expect(scoreScan(TRUTH, undefined).every((s) => s.given === undefined && s.absent === 'the scan was refused')).toBe(true);
  });
});

describe('frame error', () => {
  // Scan in cm: a turn by 90° about z, 10 mm a unit, moved.
  const truth = [0, 10, 0, 5, -10, 0, 0, 7, 0, 0, 10, -2, 0, 0, 0, 1];

  it('is nothing for the same frame', () => {
    const { rotation, origin } = frameError(truth, truth);
    expect(rotation).toBeLessThan(1e-6);
    expect(origin).toBeLessThan(1e-12);
  });

  it('is the turn and the shift that separate two frames', () => {
    // A further turn of 2° about z in the instrument frame, then 3 mm along x.
    const [c, s] = [Math.cos(Math.PI / 90), Math.sin(Math.PI / 90)];
    const row = (a: number, b: number, shift: number) => [0, 1, 2, 3].map((k) => a * truth[k] + b * truth[4 + k] + (k === 3 ? shift : 0));
    const found = [...row(c, -s, 3), ...row(s, c, 0), ...truth.slice(8)];
    const { rotation, origin } = frameError(found, truth);
    expect(rotation).toBeCloseTo(2, 6);
    expect(origin).toBeCloseTo(3, 9);
  });
});
