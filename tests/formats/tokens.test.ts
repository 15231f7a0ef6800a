import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { isNotFinite, Tokens } from '../../src/formats/tokens.ts';

function tokensOf(text: string): Tokens {
  const bytes = Buffer.from(text);
  const tokens = new Tokens();
  tokens.splitWords({ bytes, from: 0, to: bytes.length, number: 1, ended: true });
  return tokens;
}

describe('a number in a line', () => {
  test('is rounded as the language itself rounds it', () => {
    const written = fc.oneof(
      fc.double({ noNaN: true, noDefaultInfinity: true }).map(String),
      fc.double({ noNaN: true, min: -1e6, max: 1e6 }).map((value) => value.toFixed(6)),
      fc.double({ noNaN: true, min: -1e6, max: 1e6 }).map((value) => value.toExponential(9)),
      fc.stringMatching(/^[+-]?[0-9]{1,20}\.?[0-9]{0,25}$/),
    );
    fc.assert(
      fc.property(written, (text) => {
        expect(tokensOf(text).number(0)).toBe(Number(text));
      }),
      { seed: 11, numRuns: 2000 },
    );
  });

  test.each(['.', '-', '+', '1e', '1e+', '.e5', '1.2.3', '1-2', '0x10', '1_000', 'Infinity', 'nan', '1d5', '3.1+e2', '--1'])(
    '%j is none',
    (text) => {
      expect(tokensOf(text).number(0)).toBeNaN();
    },
  );

  test.each(['nan', 'NaN', '-nan', '-nan(ind)', 'inf', '-Infinity', '1.#QNAN', '-1.#IND', '1.#INF'])(
    '%s is known as not finite',
    (text) => {
      expect(isNotFinite(text)).toBe(true);
    },
  );

  test.each(['name', 'information', 'nano', '1.0', 'infra'])('%s is not taken for one that is not finite', (text) => {
    expect(isNotFinite(text)).toBe(false);
  });
});
