import { describe, expect, it } from 'vitest';
import { type DatedValue, forecast, type Trend, trendOf } from '../../src/change/trend.ts';
import { type Random, random } from '../../src/numerics/random.ts';

interface Drawn {
  readonly slope: number;
  readonly dates: number;
  readonly swing: number;
}

/** A series with a slope (mm a year), errors of 0.05 mm a scan, and a swing with humidity (mm for 20 % RH); the baseline at 50 % RH. */
function drawSeries({ slope, dates, swing }: Drawn, stream: Random): DatedValue[] {
  const errors = Array.from({ length: dates }, () => 0.05 * stream.normal());
  return errors.map((error, i) => {
    if (i === 0) return { year: 2015, value: 0, u: 0.05, humidity: 50 };
    const year = 2015 + i + 0.4 * stream.uniform();
    const humidity = 50 + 20 * Math.sin(2 * Math.PI * year + 1);
    // The baseline's value is 0 by definition: what it misses is in all others.
    return { year, value: slope * (year - 2015) + (swing * (humidity - 50)) / 20 + error - errors[0], u: 0.05, humidity };
  });
}

const found = (t: ReturnType<typeof trendOf>): Trend => {
  if ('reason' in t) throw new Error(t.reason);
  return t;
};

describe('a trend', () => {
  it('has an interval that holds the true slope in 93 to 98 % of series, with the baseline shared by all differences', () => {
    const stream = random('coverage');
    let inside = 0;
    for (let k = 0; k < 600; k++) {
      const t = found(trendOf(drawSeries({ slope: -0.12, dates: 5 + (k % 4), swing: 0 }, stream)));
      if (t.low <= -0.12 && t.high >= -0.12) inside++;
    }
    // Share ± 1.8 % (two standard deviations of 600 draws at 95 %).
    expect(inside / 600).toBeGreaterThan(0.93);
    expect(inside / 600).toBeLessThan(0.985);
  });

  it('is found falsely in no more than 6 % of series at rest, seasonal ones with humidity given included', () => {
    const stream = random('rest');
    let false_ = 0;
    for (let k = 0; k < 600; k++)
      if (found(trendOf(drawSeries({ slope: 0, dates: 6 + (k % 3), swing: k % 2 === 0 ? 0 : 0.2 }, stream))).p < 0.05) false_++;
    expect(false_ / 600).toBeLessThan(0.06);
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
    const stream = random('forecast');
    let [given, inside] = [0, 0];
    for (let k = 0; k < 600; k++) {
      const t = found(trendOf(drawSeries({ slope: -0.15, dates: 6 + (k % 3), swing: 0 }, stream)));
      const last = t.to - 2015;
      const truth = last + 0.5 * last;
      // The limit is where the true value is then; the first scan's error stays with it.
      const f = forecast(t, -0.15 * truth, 0.05);
      if ('reason' in f) continue;
      given++;
      if (f.low <= 2015 + truth && f.high >= 2015 + truth) inside++;
    }
    expect(given).toBeGreaterThan(400);
    expect(inside / given).toBeGreaterThan(0.93);
  });

  it('is refused where there may be no trend, and where the date is too far ahead', () => {
    const flat = found(trendOf([0, 1, 2, 3, 4].map((i) => ({ year: 2015 + i, value: -0.01 * i, u: 0.05 }))));
    expect(forecast(flat, -1, 0.05)).toMatchObject({ reason: expect.stringContaining('holds 0') });
    const falling = found(trendOf([0, 1, 2, 3, 4].map((i) => ({ year: 2015 + i, value: -0.2 * i, u: 0.05 }))));
    expect(forecast(falling, -3, 0.05)).toMatchObject({ reason: expect.stringContaining('further ahead') });
    expect(forecast(falling, -1.2, 0.05)).toMatchObject({ year: expect.closeTo(2021, 6) });
  });
});
