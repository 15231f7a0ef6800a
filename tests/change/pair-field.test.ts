import { describe, expect, it } from 'vitest';
import type { Cores } from '../../src/change/cores.ts';
import { type PairField, pairField } from '../../src/change/pair-field.ts';
import { SmallMotionFit } from '../../src/fits/small-motion.ts';
import { random } from '../../src/numerics/random.ts';
import { sampleField } from '../../src/numerics/random-field.ts';

/** A box about as large as a violin's body, a core every 12 mm on all its faces. */
const STEP = 12;
const [LENGTH, WIDTH, DEPTH] = [348, 192, 36];

function box(): Cores {
  const rows: number[] = [];
  for (let x = 0; x <= LENGTH; x += STEP) {
    for (let y = -WIDTH / 2; y <= WIDTH / 2; y += STEP) rows.push(x, y, 0, 0, 0, 1, x, y, -DEPTH, 0, 0, -1);
    for (let z = -DEPTH; z <= 0; z += STEP) rows.push(x, -WIDTH / 2, z, 0, -1, 0, x, WIDTH / 2, z, 0, 1, 0);
  }
  for (let y = -WIDTH / 2; y <= WIDTH / 2; y += STEP)
    for (let z = -DEPTH; z <= 0; z += STEP) rows.push(0, y, z, -1, 0, 0, LENGTH, y, z, 1, 0, 0);
  const count = rows.length / 6;
  const pick = (k: number) => Float64Array.from({ length: 3 * count }, (_, j) => rows[6 * Math.floor(j / 3) + k + (j % 3)] as number);
  return {
    count,
    xyz: pick(0),
    normal: pick(3),
    area: new Float64Array(count).fill(STEP ** 2),
    variance: new Float64Array(count).fill(WHITE ** 2),
    zone: new Uint8Array(count).fill(1),
  };
}

/** mm: white noise of a core, and the fields that are to be found. */
const WHITE = 0.01;
const AMPLITUDE = 0.03;
const DRAWS = 12;

/** What is found of fields of one length after a registration took up its part of them. */
function found(length: number): PairField[] {
  const cores = box();
  const fit = new SmallMotionFit(cores.xyz, cores.normal, cores.area, [LENGTH / 2, 0, -DEPTH / 2]);
  return Array.from({ length: DRAWS }, (_, k) => {
    const stream = random(`pair field ${length} ${k}`);
    const field = sampleField(cores.xyz, AMPLITUDE, length, stream).map((v) => v + WHITE * stream.normal());
    const step = fit.solve(field);
    const rest = field.map((v, i) => v - fit.explained(step, i));
    const one = pairField(cores, rest, cores.variance, new Uint8Array(cores.count).fill(1), fit, 1, stream);
    if (one === undefined) throw new Error('no field found');
    return one;
  });
}

const meanSquare = (values: readonly number[]): number => values.reduce((s, v) => s + v * v, 0) / values.length;

describe('the long-wave field of a pair', () => {
  it.each([40, 60])('is found in size, on average over its draws: length %d mm', (length) => {
    const fields = found(length);
    const sizes = fields.map((f) => Math.sqrt(meanSquare(f.alike.map((a) => a.amplitude))));
    // Twelve draws whose amplitudes scatter by a quarter: known to a fourteenth; two and a half of that, and the width of the fields allowed on top.
    expect(Math.sqrt(meanSquare(sizes))).toBeGreaterThan(0.85 * AMPLITUDE);
    expect(Math.sqrt(meanSquare(sizes))).toBeLessThan(1.3 * AMPLITUDE);
    // The true length is among those allowed, but for one draw in six at most.
    const lengths = fields.map((f) => f.alike.map((a) => a.length));
    const holds = lengths.filter((l) => Math.min(...l) <= length && Math.max(...l) >= length).length;
    expect(holds).toBeGreaterThanOrEqual(DRAWS - 2);
  });

  it('is as uncertain as its draws scatter', () => {
    const fields = found(60);
    const amplitudes = fields.map((f) => f.amplitude);
    const mean = amplitudes.reduce((s, a) => s + a, 0) / DRAWS;
    const scatter = Math.sqrt(meanSquare(amplitudes.map((a) => a / mean - 1)));
    const told = Math.sqrt(meanSquare(fields.map((f) => f.relativeU)));
    // A standard deviation from twelve draws is known to a fifth: two of that.
    expect(told / scatter).toBeGreaterThan(0.6);
    expect(told / scatter).toBeLessThan(1.9);
  });
});
