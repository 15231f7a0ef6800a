import { describe, expect, it } from 'vitest';
import { SampleList } from '../../../src/geometry/samples.ts';
import { archHeight } from '../../../src/measures/top/top-centre.ts';

const BODY = 355;
const HEIGHT = 16;
const TOP_AT = 190;
const RADIUS = 900;

/** Samples every 3 mm along a circular arch; y as told. */
function arch(y: (k: number) => number) {
  const list = new SampleList();
  for (let k = 0; k < 56; k++) {
    const x = 108 + 3 * k;
    list.add(x, y(k), HEIGHT - RADIUS + Math.sqrt(RADIUS ** 2 - (x - TOP_AT) ** 2), 0, 0, 1, 0.02, 1);
  }
  return list.samples();
}

describe('archHeight', () => {
  it('is the top of a circular arch', () => {
    const samples = arch((k) => 2 * Math.sin(k));
    expect(Math.abs(archHeight({ samples, coverage: 1 }, samples, BODY) - HEIGHT)).toBeLessThan(0.005);
  });

  it('does not hang on a spread across that an even grid has not', () => {
    const samples = arch((k) => 1e-9 * Math.sin(k));
    expect(Math.abs(archHeight({ samples, coverage: 1 }, samples, BODY) - HEIGHT)).toBeLessThan(0.005);
  });
});
