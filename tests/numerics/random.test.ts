import { describe, expect, it } from 'vitest';
import { random } from '../../src/numerics/random.ts';
import { meanAndSd } from '../../src/numerics/statistics.ts';

const draw = (count: number, next: () => number): Float64Array => Float64Array.from({ length: count }, next);

describe('random', () => {
  it('repeats itself for the same key and differs for another', () => {
    const first = random(7);
    const again = random(7);
    const other = random(8);
    const a = draw(50, () => first.normal());
    expect(draw(50, () => again.normal())).toEqual(a);
    expect(draw(50, () => other.normal())).not.toEqual(a);
  });

  it('never changes: these numbers are part of every record that used chance', () => {
    const stream = random('fixed');
    expect([stream.uniform(), stream.uniform(), stream.normal(), stream.normal()]).toMatchInlineSnapshot(`
      [
        0.9509643649331339,
        0.35652053135508466,
        -0.04757294256662369,
        1.6107906468698316,
      ]
    `);
  });

  it('forks by label, whatever was drawn before', () => {
    const used = random('key');
    draw(100, () => used.uniform());
    expect(used.fork('scan').uniform()).toBe(random('key').fork('scan').uniform());
    expect(random('key').fork('a').uniform()).not.toBe(random('key').fork('b').uniform());
    expect(random('a').fork('b/c').uniform()).not.toBe(random('a').fork('b').fork('c').uniform());
  });

  it('is uniform', () => {
    const stream = random('uniform');
    const values = draw(100_000, () => stream.uniform());
    const cells = new Array<number>(20).fill(0);
    for (const v of values) cells[Math.floor(20 * v)]++;
    const chi2 = cells.reduce((s, c) => s + (c - 5000) ** 2 / 5000, 0);
    expect(chi2).toBeLessThan(43.8 /* 99.9 % of χ² with 19 degrees of freedom, CALC */);
  });

  it('has normal deviates with the moments and tails of the normal distribution', () => {
    const stream = random('normal');
    const n = 400_000;
    const values = draw(n, () => stream.normal());
    const { mean, sd } = meanAndSd(values);
    // Tolerances are 4 standard errors of each statistic.
    expect(Math.abs(mean)).toBeLessThan(4 / Math.sqrt(n));
    expect(Math.abs(sd - 1)).toBeLessThan(4 / Math.sqrt(2 * n));
    const fourth = values.reduce((s, v) => s + v ** 4, 0) / n;
    expect(Math.abs(fourth - 3)).toBeLessThan(4 * Math.sqrt(96 / n));
    // Beyond the ziggurat's lowest layer: 2 (1 − Φ(3.442619855899)) = 5.762e-4, CALC.
    const tail = values.filter((v) => Math.abs(v) > 3.442619855899).length;
    expect(Math.abs(tail - n * 5.762e-4)).toBeLessThan(4 * Math.sqrt(n * 5.762e-4));
  });

  it('refuses a key that is no number', () => {
    expect(() => random(Number.NaN)).toThrow(RangeError);
  });
});
