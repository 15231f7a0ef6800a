import { beforeAll, describe, expect, it } from 'vitest';
import { parseScan } from '../../../src/formats/read-scan.ts';
import type { Scan } from '../../../src/geometry/scan.ts';
import { SampleList } from '../../../src/geometry/samples.ts';
import { measureScan } from '../../../src/measures/measure-scan.ts';
import type { MeasureResult } from '../../../src/measures/result.ts';
import { halfParts } from '../../../src/measures/uncertainty/half-parts.ts';
import { random } from '../../../src/numerics/random.ts';
import { buildInstrument, randomSpec } from '../../../src/samples/instrument.ts';
import { PART } from '../../../src/samples/part.ts';
import { SCAN_DEFAULTS } from '../../../src/samples/scan-settings.ts';
import { type ModelScan, scanInstrument } from '../../../src/samples/scanner.ts';
import { truthOf } from '../../../src/samples/truth.ts';
import { writePly } from '../../../src/samples/write-ply.ts';

describe('halves of a part', () => {
  const list = new SampleList();
  for (let x = 0; x < 256; x++) list.add(x, 0, 0, 0, 0, 1, 0.01, 1);
  const stretch = list.samples();
  const place = new SampleList();
  for (let x = 0; x < 10; x++) place.add(x, 0, 0, 0, 0, 1, 0.01, 1);
  const [even, odd] = halfParts({ stretch, place: place.samples(), 'datum.crest': stretch }, 16, 1);

  it('are blocks in turn, and together the whole', () => {
    expect(even.stretch.count + odd.stretch.count).toBe(stretch.count);
    expect([...even.stretch.xyz].filter((_, k) => k % 3 === 0).slice(0, 18)).toEqual([...Array(16).keys(), 32, 33]);
    expect(odd.stretch.xyz[0]).toBe(16);
  });

  it('keep places and datums whole', () => {
    expect(even.place.count).toBe(10);
    expect(odd['datum.crest'].count).toBe(stretch.count);
  });
});

/** A smear on the board's playing surface, 40 mm long: a shorter one is left out with the outliers. Share of its length, mm, mm. */
const SMEAR = { from: 0.42, length: 40, height: 0.15 };

describe('a smear on the board', () => {
  const instrument = buildInstrument(randomSpec('violin', 'modern', random('halves instrument')));
  let made: ModelScan;
  let sound: MeasureResult;
  let smeared: MeasureResult;
  beforeAll(async () => {
    made = scanInstrument(instrument, { ...SCAN_DEFAULTS, spacing: 1, pose: 'drawing' }, random('halves scan'));
    const read = (positions: Float64Array): Promise<Scan> => parseScan(writePly({ ...made, positions }, 'binary_little_endian'));
    sound = measureScan(await read(made.positions), {});
    smeared = measureScan(await read(withSmear(made)), {});
  });

  it('is named in a warning, and none is given without it', () => {
    expect(sound.warnings.join()).not.toContain('every other stretch');
    expect(smeared.warnings.join()).toMatch(/every other stretch .*scoop, centre/);
  });

  it('widens the values that it moves so far that they hold the truth', () => {
    const truth = truthOf(instrument, made).values;
    for (const id of ['scoopBass', 'scoopCentre', 'scoopTreble'] as const) {
      const q = smeared.measures[id];
      expect(Math.abs((q?.value ?? Number.NaN) - truth[id]), id).toBeLessThan(q?.U95 ?? 0);
    }
    expect(smeared.measures.scoopCentre?.budget.map((b) => b.source)).toContain('halves disagree');
    expect(smeared.measures.neckThicknessHeel?.u).toBeLessThan(1.2 * (sound.measures.neckThicknessHeel?.u ?? 0));
  });
});

/** Points on the playing surface between the smear's ends are lifted along their normals. */
function withSmear(scan: ModelScan): Float64Array {
  const positions = scan.positions.slice();
  const isBoard = (i: number): boolean => scan.labels[i] === PART.playingSurface && scan.normals[3 * i + 2] > 0.8;
  let [first, last] = [Infinity, -Infinity];
  for (let i = 0; i < scan.labels.length; i++) {
    if (!isBoard(i)) continue;
    first = Math.min(first, scan.clean[3 * i]);
    last = Math.max(last, scan.clean[3 * i]);
  }
  const start = first + SMEAR.from * (last - first);
  for (let i = 0; i < scan.labels.length; i++) {
    const along = scan.clean[3 * i] - start;
    if (!isBoard(i) || along < 0 || along > SMEAR.length) continue;
    for (let k = 0; k < 3; k++) positions[3 * i + k] += SMEAR.height * scan.normals[3 * i + k];
  }
  return positions;
}
