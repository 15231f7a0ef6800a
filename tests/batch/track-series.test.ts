import { describe, expect, it } from 'vitest';
import { trackSeries } from '../../src/batch/track-series.ts';
import type { ComparedSeries, TrackedQuantity } from '../../src/reports/comparison-data.ts';
import { modelComparison, modelFailedComparison } from '../records/model-comparison.ts';
import { modelRecord } from '../records/model-record.ts';

type Notes = Readonly<Record<string, string>>;

/** A yearly series from 2015; NaN is a scan that failed. */
function series(projections: readonly number[], u = 0.05, notes: Readonly<Record<number, Notes>> = {}, instrument = 'h'): ComparedSeries {
  const subject = (i: number) => ({ instrument, date: `${2015 + i}-07-02`, ...(notes[i] === undefined ? {} : { catalogue: notes[i] }) });
  return {
    instrument,
    baseline: modelRecord(subject(0)),
    comparisons: projections.map((projection, i) =>
      Number.isNaN(projection) ? modelFailedComparison(subject(i + 1)) : modelComparison({ projection, u }, subject(i + 1)),
    ),
    unusable: [],
  };
}

const projectionOf = (all: readonly ComparedSeries[], limits = {}): readonly (TrackedQuantity | undefined)[] =>
  trackSeries(all, limits).map(({ tracked }) => tracked.find(({ id }) => id === 'projection'));

describe('a trend from records', () => {
  it('gives each date its own error and the baseline what all share', () => {
    const [projection] = projectionOf([series([-0.1, -0.2, -0.3, -0.4])]);
    // Each of five dates with 0.05 ÷ √2, √Σ(t − mean)² = √10.
    expect(projection?.trend).toMatchObject({
      dates: 5,
      slope: expect.closeTo(-0.1, 3),
      u: expect.closeTo(0.05 / Math.SQRT2 / Math.sqrt(10), 4),
    });
    expect(projection?.real).toBe(true);
  });

  it('is there for every difference and every change that has one value', () => {
    const [{ tracked } = { tracked: [] }] = trackSeries([series([-0.1, -0.2, -0.3, -0.4])], {});
    const ids = tracked.map(({ id }) => id);
    expect(ids).toEqual(
      [
        'neckAngle',
        'projection',
        'overstand',
        'boardWidthEnd',
        'neckPitch',
        'neckYaw',
        'projectionByNeck',
        'projectionByBoard',
        'projectionByArch',
      ].sort((a, b) => ids.indexOf(a) - ids.indexOf(b)),
    );
    expect(tracked.filter(({ real }) => real !== undefined).map(({ id }) => id)).toEqual(['projection']);
  });

  it('stops at a break, even where the scan that tells of it failed', () => {
    const [projection] = projectionOf([series([-0.1, Number.NaN, -0.3, -0.4, -0.5], 0.05, { 2: { event: 'neck reset' } })]);
    expect(projection?.trend).toEqual({ reason: '3 dates since the last break, a trend needs 4' });
    expect(projection?.real).toBeUndefined();
  });

  it('is none without a baseline', () => {
    expect(trackSeries([{ instrument: 'h', comparisons: [], unusable: [] }], {})).toMatchObject([{ tracked: [] }]);
  });
});

describe('a forecast', () => {
  const sinking = series([-0.1, -0.2, -0.3, -0.4], 0.02);

  it('reckons from the baseline’s own value to the limit ahead', () => {
    // The baseline has 27.3456: 0.5456 mm at 0.1 mm a year from mid 2015.
    const [projection] = projectionOf([sinking], { projection: { min: 26.8, max: 27.4 } });
    expect(projection?.forecast).toMatchObject({ limit: 26.8, reached: { year: expect.closeTo(2015.5 + 5.456, 1) } });
  });

  it.each([
    ['too far ahead', { min: 20 }, 'further ahead than the series is long'],
    ['passed already', { min: 27.2 }, 'passed already'],
  ])('is refused in words: %s', (_, range, reason) => {
    const [projection] = projectionOf([sinking], { projection: range });
    expect(projection?.forecast?.reached).toEqual({ reason: expect.stringContaining(reason) });
  });

  it('is refused for a series at rest, and none where the limit lies behind', () => {
    const [still, sinks] = projectionOf([series([0.01, -0.01, 0.01, -0.02]), sinking], { projection: { max: 30 } });
    expect(still?.forecast).toBeUndefined();
    expect(sinks?.forecast).toBeUndefined();
    const [rest] = projectionOf([series([0.01, -0.01, 0.01, -0.02])], { projection: { min: 26 } });
    expect(rest?.forecast?.reached).toEqual({ reason: expect.stringContaining('may be no trend at all') });
  });
});

it('false alarms are controlled over instruments: what one alone would call real, nineteen others at rest take back', () => {
  // Slope −0.025 with u = 0.05 ÷ √2 ÷ √10 = 0.0112: p = 0.025.
  const slight = series([-0.025, -0.05, -0.075, -0.1]);
  const others = Array.from({ length: 19 }, (_, i) => series([0, 0, 0, 0], 0.05, {}, `rest-${i}`));
  expect(projectionOf([slight])[0]?.real).toBe(true);
  const all = projectionOf([slight, ...others]);
  expect(all.map((q) => q?.real)).toEqual(new Array(20).fill(false));
});
