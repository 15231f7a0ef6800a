import { describe, expect, it } from 'vitest';
import { fitCircle } from '../../src/fits/circle.ts';
import { supportingLine } from '../../src/numerics/supporting-line.ts';

// A board of one radius throughout is over-determined (READ: fixitwithshading.com, Fingerboard Geometry 2; CALC with half-spans of 8.25 mm at the nut and
// 15.25 mm at the end): hollows of .75 and .25 mm under the outer strings leave .68 mm in the middle, not .50; for .50 the middle needs a radius of 38 mm.
const RADIUS = 42;
const NUT = 8.25;
const MIDDLE = 11.75;
const END = 15.25;
const STATIONS = [-135, 0, 135];

/** Height of the board at its two ends, y mm from its middle. */
const atEnd = (y: number): number => Math.sqrt(RADIUS ** 2 - y ** 2) - RADIUS;
/** Height of the straightedge over the middle of the board, along a string; `side` −1 bass, 0 middle, 1 treble. */
const straightedge = (side: number): number => (atEnd(side * NUT) + atEnd(side * END)) / 2;

describe('scoop and radius of a board', () => {
  it('one radius throughout with hollows .75 and .25: the middle is .68 deep', () => {
    const bass = straightedge(-1) - 0.75;
    const treble = straightedge(1) - 0.25;
    // Middle section: the circle of the same radius through both; its centre lies on the chord's perpendicular.
    const half = Math.hypot(MIDDLE, (treble - bass) / 2);
    const sine = (treble - bass) / 2 / half;
    const deep = Math.sqrt(RADIUS ** 2 - half ** 2);
    const middle = (y: number): number =>
      (bass + treble) / 2 - deep * Math.sqrt(1 - sine ** 2) + Math.sqrt(RADIUS ** 2 - (y - deep * sine) ** 2);
    const hollow = (side: number): number => {
      const heights = [atEnd(side * NUT), middle(side * MIDDLE), atEnd(side * END)];
      return supportingLine(STATIONS, heights, 0).heightAt(0) - heights[1];
    };
    expect(hollow(-1)).toBeCloseTo(0.75, 12);
    expect(hollow(1)).toBeCloseTo(0.25, 12);
    expect(Math.abs(hollow(0) - 0.68)).toBeLessThan(0.03 /* mm: the source gives two digits, CALC 0.665 */);
  });

  it('hollows .75, .50, .25: the middle has a radius of 38 mm', () => {
    const { radius } = fitCircle([-MIDDLE, straightedge(-1) - 0.75, 0, straightedge(0) - 0.5, MIDDLE, straightedge(1) - 0.25]);
    expect(Math.abs(radius - 38)).toBeLessThan(0.6 /* mm: the source gives two digits, CALC 38.4 */);
  });
});
