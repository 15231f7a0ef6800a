import { describe, expect, it } from 'vitest';
import { decimalsFor, fixed, roundQuantity } from '../../src/reports/round-quantity.ts';

describe('a quantity is rounded to two significant digits of its uncertainty', () => {
  it.each([
    [7.123456, 0.01587, '7.123', '0.016'],
    [27.3456, 0.0996, '27.35', '0.10'],
    [27.3456, 0.0994, '27.346', '0.099'],
    [195.12, 2.34, '195.1', '2.3'],
    [195.12, 23.4, '195', '23'],
    [195.12, 234, '200', '230'],
    [-0.0004, 0.05, '0.000', '0.050'],
    [-0.42, 0.05, '−0.420', '0.050'],
    [0.6674, 0.00201, '0.6674', '0.0020'],
    [1, 1e-12, '1.000000', '0.000000'],
    [1, 0, '1.000', '0.000'],
  ])('%d ± %d is %s ± %s', (value, U95, text, interval) => {
    expect(roundQuantity({ value, U95 })).toEqual({ value: text, U95: interval });
  });

  it('gives both ends of an interval that is not symmetrical, and only then', () => {
    expect(roundQuantity({ value: 1, U95: 0.2, low: 0.9, high: 1.3 })).toMatchObject({ below: '0.10', above: '0.30' });
    expect(roundQuantity({ value: 1, U95: 0.2, low: 0.8, high: 1.2 })).not.toHaveProperty('below');
  });

  it('loses less than half a unit of the second digit of the uncertainty', () => {
    for (let i = 1; i < 3000; i++) {
      const u = 1.0037 ** i * 1e-4;
      const value = (i * 7.77) % 300;
      const decimals = decimalsFor(u);
      if (decimals < 0) continue;
      expect(Math.abs(Number(fixed(value, decimals)) - value)).toBeLessThanOrEqual(0.0501 * u);
    }
  });
});
