import { describe, expect, it } from 'vitest';
import { SampleList, type Samples } from '../../../src/geometry/samples.ts';
import { averageCells, type FittedSurface } from '../../../src/measures/average-cells.ts';
import { sampleBook, withScanNoise } from '../../../src/measures/uncertainty/perturb-samples.ts';
import { NormalEquations } from '../../../src/numerics/normal-equations.ts';
import { random } from '../../../src/numerics/random.ts';
import { rms } from '../../../src/numerics/statistics.ts';
import { noisySheet, type SheetNoise } from './noisy-sheet.ts';

/** A strip the size of a fingerboard, and how far from it a straight line through it is read: what projection does. */
const STRIP = { from: [-130, -6], to: [70, 6], spacing: 1, height: () => 0 } as const;
const READ_AT = 195;
const CELL = 3;
const SURFACE: FittedSurface = { out: 2, a: 0, b: 1, outward: 1, value: () => 0, gradient: () => [0, 0] };
/** Errors of 150 scans: their spread is known to 6 %, and 4 σ of that is a quarter. */
const SCANS = 150;
const UNIT_SPREAD = 0.24;
const REPEATS = 200;

function samplesOf(noise: SheetNoise, key: string): Samples {
  const cloud = noisySheet(STRIP, noise, random(key));
  const list = new SampleList();
  averageCells(
    list,
    cloud,
    Uint32Array.from({ length: cloud.count }, (_, i) => i),
    SURFACE,
    CELL,
    Math.hypot(noise.white, noise.amplitude),
  );
  return list.samples();
}

/** Height at the station of the least-squares line, and the mean height. */
function read(s: Samples): readonly [number, number] {
  const line = new NormalEquations(2);
  let mean = 0;
  for (let i = 0; i < s.count; i++) {
    line.add([1, s.xyz[3 * i]], s.xyz[3 * i + 2], s.weight[i]);
    mean += s.xyz[3 * i + 2] / s.count;
  }
  const [z0, slope] = line.solve().coefficients;
  return [z0 + slope * READ_AT, mean];
}

/** u of both by repetition with simulated noise, as a measurement has it. */
function uncertainties(s: Samples, noise: SheetNoise, independent: boolean): readonly [number, number] {
  const book = sampleBook(
    { strip: s },
    {
      stretch: 1,
      points: { ...noise, amplitude: independent ? 0 : noise.amplitude, spacing: STRIP.spacing },
    },
  );
  const stream = random('repeat');
  const centre = read(s);
  const off = Array.from({ length: REPEATS }, () => read(withScanNoise(book, stream).strip).map((v, k) => v - centre[k]));
  return [rms(off.map((o) => o[0])), rms(off.map((o) => o[1]))];
}

describe.each([
  { white: 0.03, amplitude: 0.03, length: 3 },
  { white: 0.01, amplitude: 0.04, length: 2 },
  { white: 0.03, amplitude: 0.03, length: 8 },
  { white: 0.05, amplitude: 0, length: 3 },
])('noise of $white mm and shared noise of $amplitude mm over $length mm', (noise) => {
  const errors = Array.from({ length: SCANS }, (_, k) => read(samplesOf(noise, `scan ${k}`)));
  const one = samplesOf(noise, 'scan 0');

  it('pulls have unit spread, of a line read far off and of a mean', () => {
    const u = uncertainties(one, noise, false);
    for (const k of [0, 1] as const) expect(Math.abs(rms(errors.map((e) => e[k])) / u[k] - 1)).toBeLessThan(UNIT_SPREAD);
  });

  it('with √n for independent points they would have it only where points are independent', () => {
    const u = uncertainties(one, noise, true);
    for (const k of [0, 1] as const) {
      const spread = rms(errors.map((e) => e[k])) / u[k];
      if (noise.amplitude > 0) expect(spread).toBeGreaterThan(1.5);
      else expect(Math.abs(spread - 1)).toBeLessThan(UNIT_SPREAD);
    }
  });
});
