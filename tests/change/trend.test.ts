import { describe, expect, it } from 'vitest';
import { forecast, trendOf } from '../../src/change/trend.ts';
import { datesHeld, falseTrends, found, slopesHeld } from '../study/series/simulate-series.ts';

describe('a trend', () => {
  it('has an interval that holds the true slope in 93 to 98 % of series, with the baseline shared by all differences', () => {
    const { found: inside, of } = slopesHeld();
    // Share ± 1.8 % (two standard deviations of 600 draws at 95 %).
    expect(inside / of).toBeGreaterThan(0.93);
    expect(inside / of).toBeLessThan(0.985);
  });

  it('is found falsely in no more than 6 % of series at rest, seasonal ones with humidity given included', () => {
    const { found: alarms, of } = falseTrends();
    expect(alarms / of).toBeLessThan(0.06);
  });

  it('is never surer than the known errors, however well the dates happen to fit', () => {
    const t = found(trendOf([0, 1, 2, 3, 4].map((i) => ({ year: 2015 + i, value: -0.1 * i, u: 0.05 }))));
    // 0.05 ÷ √Σ(t − mean)² with Σ = 10.
    expect(t.u).toBeCloseTo(0.05 / Math.sqrt(10), 9);
    expect(t.high - t.low).toBeCloseTo((2 * 1.96 * 0.05) / Math.sqrt(10), 9);
  });

  it('is refused under four dates since a break, and under a year without humidity', () => {
    const dates = [0, 1, 2, 3, 4].map((i) => ({ year: 2015 + i, value: 0.1 * i, u: 0.05 }));
    expect(trendOf(dates.slice(0, 3))).toEqual({ reason: '3 dates since the last break, a trend needs 4' });
    expect(trendOf(dates.map((d, i) => (i === 2 ? { ...d, event: 'neck reset' } : d)))).toMatchObject({
      reason: expect.stringContaining('3 dates'),
    });
    expect(trendOf(dates.map((d) => ({ ...d, year: 2015 + (d.year - 2015) / 10 })))).toMatchObject({
      reason: expect.stringContaining('less than a year'),
    });
    expect(found(trendOf(dates)).warnings.join()).toContain('season and trend cannot be told apart');
  });
});

describe('a forecast', () => {
  it('holds the true date in 93 % of series or more', () => {
    const { found: inside, of } = datesHeld();
    expect(of).toBeGreaterThan(400);
    expect(inside / of).toBeGreaterThan(0.93);
  });

  it('is refused where there may be no trend, and where the date is too far ahead', () => {
    const flat = found(trendOf([0, 1, 2, 3, 4].map((i) => ({ year: 2015 + i, value: -0.01 * i, u: 0.05 }))));
    expect(forecast(flat, -1, 0.05)).toMatchObject({ reason: expect.stringContaining('holds 0') });
    const falling = found(trendOf([0, 1, 2, 3, 4].map((i) => ({ year: 2015 + i, value: -0.2 * i, u: 0.05 }))));
    expect(forecast(falling, -3, 0.05)).toMatchObject({ reason: expect.stringContaining('further ahead') });
    expect(forecast(falling, -1.2, 0.05)).toMatchObject({ year: expect.closeTo(2021, 6) });
  });
});
