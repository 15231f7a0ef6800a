import { beforeAll, describe, expect, it } from 'vitest';
import { scanSubject } from '../../../src/batch/scan-subject.ts';
import { CATALOGUE_ROW } from '../../../src/batch/catalogue-schema.ts';
import { measureOptions } from '../../../src/batch/measure-options.ts';
import { parseScan } from '../../../src/formats/read-scan.ts';
import type { Scan } from '../../../src/geometry/scan.ts';
import type { MeasureId } from '../../../src/measurands/measurands.ts';
import { measureScan } from '../../../src/measures/measure-scan.ts';
import type { BudgetEntry, MeasureResult } from '../../../src/measures/result.ts';
import { random } from '../../../src/numerics/random.ts';
import { buildInstrument, randomSpec } from '../../../src/samples/instrument.ts';
import { SCAN_DEFAULTS, type ScanSettings } from '../../../src/samples/scan-settings.ts';
import { scanInstrument } from '../../../src/samples/scanner.ts';
import { writePly } from '../../../src/samples/write-ply.ts';

/** Coarse, so that one measurement takes a second or two. */
const SETTINGS: ScanSettings = { ...SCAN_DEFAULTS, sigma: 0.03, spacing: 1.4, pose: 'drawing' };

function scanOf(settings: ScanSettings): Promise<Scan> {
  const instrument = buildInstrument(randomSpec('violin', 'modern', random('stated instrument')));
  return parseScan(writePly(scanInstrument(instrument, settings, random('stated scan')), 'binary_little_endian'));
}

/** As a row of a catalogue states it. */
const measured = (scan: Scan, stated: Record<string, number>): MeasureResult =>
  measureScan(scan, measureOptions(scanSubject(CATALOGUE_ROW.parse({ instrument: 'h-1', scan: 'a.ply', ...stated })).settings));

const entry = (result: MeasureResult, id: MeasureId, source: string): BudgetEntry | undefined =>
  result.measures[id]?.budget.find((b) => b.source === source);
const uOf = (result: MeasureResult, id: MeasureId, source: string): number => entry(result, id, source)?.u ?? 0;

describe('what a catalogue states of a scanner', () => {
  let scan: Scan;
  let unstated: MeasureResult;
  beforeAll(async () => {
    scan = await scanOf(SETTINGS);
    unstated = measured(scan, {});
  });

  it('replaces the assumed long-wave error', () => {
    expect(entry(unstated, 'neckAngle', 'long-wave error')?.assumed).toBe(true);
    const stated = measured(scan, { longWave: 0.1, longWaveLength: 50 });
    expect(entry(stated, 'neckAngle', 'long-wave error')).toBeDefined();
    expect(entry(stated, 'neckAngle', 'long-wave error')).not.toHaveProperty('assumed');
    // The default has 0.012 mm RMS on this scan: 0.1 mm is some eight times as much.
    for (const id of ['neckAngle', 'projection', 'overstand'] as const)
      expect(uOf(stated, id, 'long-wave error') / uOf(unstated, id, 'long-wave error')).toBeGreaterThan(4);
    expect(stated.measures.neckAngle?.value).toBe(unstated.measures.neckAngle?.value);
  });

  it('takes the length of the waves: short ones turn a long board less', () => {
    const long = measured(scan, { longWave: 0.05, longWaveLength: 80 });
    const short = measured(scan, { longWave: 0.05, longWaveLength: 5 });
    expect(uOf(short, 'neckAngle', 'long-wave error')).toBeLessThan(0.7 * uOf(long, 'neckAngle', 'long-wave error'));
    expect(entry(measured(scan, { longWave: 0.05, longWaveLength: 0 }), 'neckAngle', 'long-wave error')?.assumed).toBe(true);
  });

  it('brings its scale error into every length and no angle', () => {
    const stated = measured(scan, { scaleU: 0.002 });
    const length = stated.measures.bodyLength?.value ?? Number.NaN;
    expect(uOf(stated, 'bodyLength', 'scale')).toBeCloseTo(0.002 * length, 6);
    expect(entry(stated, 'neckAngle', 'scale')).toBeUndefined();
    expect(entry(unstated, 'bodyLength', 'scale')).toBeUndefined();
  });

  it('a noise above what the scan shows widens both noise and the long-wave error that goes with it; one below it does not narrow the noise', () => {
    const noisy = measured(scan, { noise: 0.12 });
    const quiet = measured(scan, { noise: 0.01 });
    for (const id of ['neckAngle', 'archHeight'] as const) {
      expect(uOf(noisy, id, 'scan noise') / uOf(unstated, id, 'scan noise')).toBeGreaterThan(2);
      expect(uOf(noisy, id, 'long-wave error') / uOf(unstated, id, 'long-wave error')).toBeGreaterThan(2);
      expect(uOf(quiet, id, 'scan noise') / uOf(unstated, id, 'scan noise')).toBeCloseTo(1, 6);
      expect(uOf(quiet, id, 'long-wave error')).toBeLessThan(uOf(unstated, id, 'long-wave error'));
    }
  });
});

it('noise that neighbours share is told and widens the intervals', async () => {
  const white = measured(await scanOf({ ...SETTINGS, sigma: 0.05 }), { longWave: 0, longWaveLength: 50 });
  const noise = { sigma: 0.03, correlated: { amplitude: 0.04, length: 4, kernel: 'gaussian' } } as const;
  const shared = measured(await scanOf({ ...SETTINGS, ...noise }), { longWave: 0, longWaveLength: 50 });
  expect(white.survey.correlatedNoise).toBe(0);
  expect(Math.abs((shared.survey.correlatedNoise ?? 0) / 0.04 - 1)).toBeLessThan(0.2);
  expect(Math.abs((shared.survey.correlationLength ?? 0) / 4 - 1)).toBeLessThan(0.25);
  expect(shared.survey.effectivePoints).toBeLessThan(0.1 * (white.survey.effectivePoints ?? 0));
  for (const id of ['neckAngle', 'widthLower', 'archHeight'] as const)
    expect(uOf(shared, id, 'scan noise') / uOf(white, id, 'scan noise')).toBeGreaterThan(1.5);
});
