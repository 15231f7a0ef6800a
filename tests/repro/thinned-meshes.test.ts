import { describe, expect, it } from 'vitest';
import { parseScan } from '../../src/formats/read-scan.ts';
import { measureScan } from '../../src/measures/measure-scan.ts';
import { random } from '../../src/numerics/random.ts';
import { buildInstrument, randomSpec } from '../../src/samples/instrument.ts';
import { SCAN_DEFAULTS } from '../../src/samples/scan-settings.ts';
import { scanInstrument } from '../../src/samples/scanner.ts';
import { truthOf } from '../../src/samples/truth.ts';
import { writePly } from '../../src/samples/write-ply.ts';

/** Interval of five standard uncertainties: what is farther off is wrong, not unlucky. */
const WRONG = 2.5;

async function thinned(draw: string, cell: number, sigma: number) {
  const stream = random(draw);
  const instrument = buildInstrument(randomSpec('viola', 'modern', stream.fork('instrument')));
  const scan = scanInstrument(
    instrument,
    { ...SCAN_DEFAULTS, sigma, spacing: 0.6, fittings: 'fitted', thinning: { kind: 'adaptive', cell } },
    stream.fork('scan'),
  );
  return { result: measureScan(await parseScan(writePly(scan, 'binary_little_endian')), {}), truth: truthOf(instrument, scan) };
}

describe('a mesh thinned where it is flat', () => {
  it('has its board measured to its end, though strings hold more points than the board beneath them', async () => {
    const { result, truth } = await thinned('dev 23', 2.3, 0.05);
    for (const id of ['neckAngle', 'projection', 'boardLength', 'scoopCentre', 'boardWidthEnd', 'edgeFlatnessPV'] as const) {
      const found = result.measures[id];
      expect(found, id).toBeDefined();
      if (found !== undefined) expect(Math.abs(found.value - truth.values[id]) / found.U95, id).toBeLessThan(WRONG);
    }
  });
});
