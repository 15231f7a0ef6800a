import { describe, expect, it } from 'vitest';
import { equilibriumMoisture, MAPLE_PER_PERCENT } from '../../src/numerics/wood-moisture.ts';

describe('equilibrium moisture of wood', () => {
  // Wood Handbook FPL-GTR-190, table 4-2, row of 21.1 °C (from memory; other tables in print agree within 0.5 %).
  it.each([
    [30, 6.2],
    [40, 7.7],
    [50, 9.2],
    [60, 11.0],
    [70, 13.1],
    [80, 16.0],
  ])('at %d %% RH is %d %%', (humidity, percent) => {
    expect(Math.abs(equilibriumMoisture(humidity, 21.1) - percent)).toBeLessThan(0.06 /* %: the table's rounding */);
  });

  it('refuses a humidity that is none', () => {
    expect(() => equilibriumMoisture(120)).toThrow(RangeError);
  });
});

describe('movement of maple', () => {
  it('moves 30 mm by a third of a millimetre along the rays and twice that along the rings, from 30 to 70 % RH', () => {
    const percent = equilibriumMoisture(70) - equilibriumMoisture(30);
    // Worked from FPL-GTR-190, table 13-5 (sugar maple), and the moistures above: 0.34 mm and 0.73 mm.
    expect(30 * percent * MAPLE_PER_PERCENT.radial).toBeCloseTo(0.34, 2);
    expect(30 * percent * MAPLE_PER_PERCENT.tangential).toBeCloseTo(0.73, 2);
  });
});
