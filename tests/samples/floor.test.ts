import { beforeAll, describe, expect, it } from 'vitest';
import { random } from '../../src/numerics/random.ts';
import { buildInstrument, type ModelInstrument, randomSpec } from '../../src/samples/instrument.ts';
import { scanInstrument } from '../../src/samples/scanner.ts';
import { SCAN_DEFAULTS, type ScanSettings } from '../../src/samples/scan-settings.ts';
import { truthOf } from '../../src/samples/truth.ts';

describe('what a scan supports', () => {
  let violin: ModelInstrument;
  beforeAll(() => {
    violin = buildInstrument(randomSpec('violin', 'modern', random('floor test')));
  });
  const truth = (settings: Partial<ScanSettings>) =>
    truthOf(violin, scanInstrument(violin, { ...SCAN_DEFAULTS, spacing: 1.8, ...settings }, random('scan')));

  it('is everything on an ordinary scan, at the known floor', () => {
    const t = truth({ sigma: 0.05, correlated: { amplitude: 0.02, length: 50, kernel: 'gaussian' }, fittings: 'fitted' });
    expect(Object.values(t.measurable).every(Boolean), JSON.stringify(t.reasons)).toBe(true);
    // Floors found for such scans before: neckAngle 0.014°, projection 0.064 mm, overstand 0.057 mm; within a half of them.
    expect(t.floor.neckAngle).toBeGreaterThan(0.007);
    expect(t.floor.neckAngle).toBeLessThan(0.021);
    expect(t.floor.projection).toBeGreaterThan(0.032);
    expect(t.floor.projection).toBeLessThan(0.096);
    expect(t.floor.overstand).toBeGreaterThan(0.028);
    expect(t.floor.overstand).toBeLessThan(0.086);
  });

  it('has no station, tail and back in an upper half seen from the front', () => {
    const t = truth({ view: 'top-half' });
    expect(t.measurable).toMatchObject({
      neckAngle: true,
      boardRadiusEnd: true,
      bodyLength: false,
      widthLower: false,
      stop: false,
      projection: false,
    });
    expect(t.reasons.bodyLength).toBe('the tail end is not seen');
    expect(t.stopSource).toBe('assumed');
    expect(truth({ view: 'front' }).measurable).toMatchObject({ neckThicknessHeel: false, projection: true });
  });

  it('loses the heel, not the board, as noise grows', () => {
    const t = truth({ sigma: 0.2, correlated: { amplitude: 0.15, length: 40, kernel: 'gaussian' } });
    expect(t.measurable).toMatchObject({ heelLean: false, neckAngle: true, boardOffset: true });
    expect(t.reasons.heelLean).toMatch(/err by/);
  });

  it('holds nothing of the neck when only the body is there', () => {
    const t = truth({ view: 'body-only' });
    expect(t.measurable).toMatchObject({ neckAngle: false, neckLength: false, heelLean: false, widthLower: true, archHeight: true });
  });
});
