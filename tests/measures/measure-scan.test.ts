import { beforeAll, describe, expect, it } from 'vitest';
import { parseScan } from '../../src/formats/read-scan.ts';
import type { Scan } from '../../src/geometry/scan.ts';
import { MEASURANDS } from '../../src/measurands/measurands.ts';
import { measureScan } from '../../src/measures/measure-scan.ts';
import type { MeasureResult } from '../../src/measures/result.ts';
import { random } from '../../src/numerics/random.ts';
import { buildInstrument, randomSpec } from '../../src/samples/instrument.ts';
import { SCAN_DEFAULTS, type ScanSettings } from '../../src/samples/scan-settings.ts';
import { scanInstrument } from '../../src/samples/scanner.ts';
import { writePly } from '../../src/samples/write-ply.ts';

/** Coarse, so that one measurement takes a second or two. */
const SETTINGS: ScanSettings = { ...SCAN_DEFAULTS, sigma: 0.03, spacing: 1.2, pose: 'drawing' };
/** Another unit changes a value by rounding alone; another order also lets searches that start from every k-th point begin elsewhere. In u. */
const ROUNDING = 0.1;
const OTHER_START = 2;

async function scanOf(settings: ScanSettings): Promise<Scan> {
  const instrument = buildInstrument(randomSpec('violin', 'modern', random('measure-scan instrument')));
  return parseScan(writePly(scanInstrument(instrument, settings, random('measure-scan scan')), 'binary_little_endian'));
}

/** The same mesh with its points in another order. */
function shuffled(scan: Scan): Scan {
  const n = scan.positions.length / 3;
  const stream = random('shuffle');
  const to = Uint32Array.from({ length: n }, (_, i) => i);
  for (let i = n - 1; i > 0; i--) {
    const j = Math.floor(stream.uniform() * (i + 1));
    [to[i], to[j]] = [to[j], to[i]];
  }
  const positions = new Float32Array(scan.positions.length);
  for (let i = 0; i < n; i++) positions.set(scan.positions.subarray(3 * i, 3 * i + 3), 3 * to[i]);
  return { ...scan, positions, triangles: (scan.triangles as Uint32Array).map((i) => to[i]) };
}

const turnedInsideOut = (scan: Scan): Scan => ({ ...scan, triangles: Uint32Array.from(scan.triangles as Uint32Array).reverse() });

describe('the same scan', () => {
  let scan: Scan;
  let result: MeasureResult;
  beforeAll(async () => {
    scan = await scanOf(SETTINGS);
    result = measureScan(scan, {});
  });

  function expectSame(other: MeasureResult, within: number): void {
    expect(other.absent).toEqual(result.absent);
    for (const [id, q] of Object.entries(result.measures)) {
      const there = other.measures[id as keyof MeasureResult['measures']];
      expect(Math.abs((there?.value ?? Number.NaN) - q.value), id).toBeLessThan(within * q.u + 1e-6);
    }
  }

  it('shows the headline measurands', () => {
    const headline = MEASURANDS.filter((m) => m.group !== 'secondary').map((m) => m.id);
    expect(headline.filter((id) => result.measures[id] === undefined)).toEqual([]);
  });

  it('twice gives the same result, bit for bit', () => {
    expect(measureScan(scan, {})).toEqual(result);
  });

  it('in metres gives the same values', () => {
    const [x, y, z] = scan.origin;
    const inMetres: Scan = { ...scan, positions: scan.positions.map((v) => v / 1000), origin: [x / 1000, y / 1000, z / 1000] };
    const other = measureScan(inMetres, {});
    expect(other.unit.value).toBe('m');
    expectSame(other, ROUNDING);
  });

  it('with its points in another order gives the same values', () => {
    expectSame(measureScan(shuffled(scan), {}), OTHER_START);
  });

  it('with its facets turned gives the same values and a warning', () => {
    const other = measureScan(turnedInsideOut(scan), {});
    expectSame(other, OTHER_START);
    expect(other.warnings.join()).toContain('facets face inwards');
    expect(result.warnings.join()).not.toContain('facets face inwards');
  });
});

it('a mirrored mesh whose facets were left as they were is told by them', async () => {
  const scan = await scanOf({ ...SETTINGS, spacing: 1.6 });
  const mirrored = { ...scan, positions: scan.positions.map((v, i) => (i % 3 === 1 ? -v : v)) };
  expect(measureScan(mirrored, {}).warnings.join()).toContain('mirror image');
});
