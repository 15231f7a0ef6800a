import { beforeAll, describe, expect, it } from 'vitest';
import { compareScans } from '../../src/change/compare-scans.ts';
import type { ComparisonResult } from '../../src/change/change-result.ts';
import { applyToPoint, compose, invert, type Motion } from '../../src/geometry/motion.ts';
import type { Vec3 } from '../../src/geometry/vec3.ts';
import { measureOpened } from '../../src/measures/measure-scan.ts';
import { type OpenedScan, openScan } from '../../src/measures/open-scan.ts';
import { comparisonRecord } from '../../src/records/comparison-record.ts';
import { measuredRecord } from '../../src/records/measured-record.ts';
import { comparisonTable } from '../../src/reports/comparison-table.ts';
import { NO_NECK_CHANGE } from '../../src/samples/neck-change.ts';
import { CLEAN, instrumentA, mirrorImage, type ModelScanned, neckChange, NO_CHANGE, scanA, scanB } from './model-scans.ts';

const DEGREE = Math.PI / 180;
const opened = ({ scan }: ModelScanned): OpenedScan => openScan(scan, { unit: 'mm', instrumentClass: 'violin', stop: 195 });

/** Farthest that a corner of the body's box lies from where it truly is after registration, mm. */
function farthest(result: ComparisonResult, first: OpenedScan, second: OpenedScan, truths: readonly [Motion, Motion]): number {
  const found = compose(Float64Array.from(result.registration.motion.slice(0, 12)), second.motion);
  const right = compose(first.motion, compose(invert(truths[0]), truths[1]));
  const corners: readonly Vec3[] = [0, 355].flatMap((x) => [-100, 100].flatMap((y) => [-50, 15].map((z): Vec3 => [x, y, z])));
  const places = corners.map((c) => applyToPoint(invert(right), c));
  return Math.max(
    ...places.map((p) => {
      const [a, b] = [applyToPoint(found, p), applyToPoint(right, p)];
      return Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
    }),
  );
}

let [first, second]: OpenedScan[] = [];

describe('a neck that sank, first model', () => {
  let scans: readonly ModelScanned[];
  let result: ComparisonResult;

  beforeAll(() => {
    const instrument = instrumentA('pair 1');
    const sunk = neckChange({ root: 0.25 * DEGREE, bend: 0.15 * DEGREE, yaw: 0.1 * DEGREE, shift: [0, 0.1, -0.15] });
    scans = [
      scanA(instrument, NO_CHANGE, { ...CLEAN, draw: 'first', spacing: 1 }),
      scanA(instrument, sunk, { ...CLEAN, draw: 'second', spacing: 1.1 }),
    ];
    [first, second] = scans.map(opened);
    result = compareScans(first as OpenedScan, second as OpenedScan);
  }, 120_000);

  it('is registered on the body alone', () => {
    // mm: three standard uncertainties of white noise on some 7000 places, at the body's corners.
    expect(farthest(result, first as OpenedScan, second as OpenedScan, [scans[0].truth, scans[1].truth])).toBeLessThan(0.02);
    expect(result.registration.stopped).toBe('settled');
    expect(result.registration.overlap).toBeGreaterThan(0.95);
    expect(Math.abs(result.registration.scale.value)).toBeLessThan(1e-4);
  });

  it('shows pitch, yaw and shift within the stated limits, with their signs', () => {
    const { neckPitch, neckYaw, neckShift } = result.changes;
    expect(Math.abs((neckPitch?.value as number) - 0.4)).toBeLessThan(0.01 /* degrees */);
    expect(Math.abs((neckYaw?.value as number) - 0.1)).toBeLessThan(0.03 /* degrees */);
    // The place at the joint: shifted, and turned about the heel's foot some 6 mm towards the scroll.
    expect(neckPitch?.significant).toBe(true);
    expect(neckShift?.significant).toBe(true);
    expect(result.differences.projection?.value).toBeLessThan(-1);
    expect(result.differences.projection?.significant).toBe(true);
  });

  it('tells turn at the root from bend of the heel', () => {
    expect(Math.abs((result.changes.heelRootRotation?.value as number) - 0.25)).toBeLessThan(0.06 /* degrees */);
    expect(Math.abs((result.changes.heelBend?.value as number) - 0.15)).toBeLessThan(0.06 /* degrees */);
  });

  it('puts the change of projection down to the neck, and all three parts sum to it', () => {
    const { projectionByNeck, projectionByBoard, projectionByArch } = result.changes;
    const parts = [projectionByNeck, projectionByBoard, projectionByArch].map((c) => c?.value as number);
    expect(parts[0] + parts[1] + parts[2]).toBeCloseTo(result.differences.projection?.value as number, 9);
    expect(Math.abs(parts[1])).toBeLessThan(0.05 /* mm */);
    expect(Math.abs(parts[2])).toBeLessThan(0.02 /* mm */);
  });

  it('becomes a record, and a table that says what is real', () => {
    const subject = { scan: 'later.ply', settings: {} };
    const own = measuredRecord(subject, scans[1].scan, measureOpened(second as OpenedScan, {}), '2026-01-01T00:00:00Z');
    const record = comparisonRecord(own, 'first.ply', result);
    expect(record).toMatchObject({ baseline: 'first.ply', scan: 'later.ply', measures: { neckPitch: { unit: 'deg', significant: true } } });
    expect(record.measures.neckShift?.value).toHaveLength(3);
    expect(record.measures.projection).toBeDefined();
    expect(Object.keys(record.differences)).not.toContain('stop');
    const table = comparisonTable(record);
    expect(table).toMatch(/Neck pitch +\+0\.40.* REAL/);
    expect(table).toMatch(/Projection +−1\..* REAL/);
    expect(Math.max(...table.split('\n').map((line) => line.length))).toBeLessThanOrEqual(100);
  });

  it('refuses its mirror image', () => {
    const mirrored = openScan(mirrorImage(scans[1].scan), { unit: 'mm', instrumentClass: 'violin' });
    expect(() => compareScans(first as OpenedScan, mirrored)).toThrow(expect.objectContaining({ code: 'mirrored' }));
  });
});

describe('an instrument at rest, second model', () => {
  it('shows no significant change; another instrument is refused', () => {
    const [one, two] = ['first', 'second'].map((draw, k) => opened(scanB(3, NO_NECK_CHANGE, { ...CLEAN, draw, spacing: 1.1 + 0.1 * k })));
    const result = compareScans(one, two);
    const all = [...Object.values(result.changes), ...Object.values(result.differences)];
    expect(all.filter((c) => c.significant === true)).toEqual([]);
    expect(all.length).toBeGreaterThan(30);
    expect(() => compareScans(first as OpenedScan, two)).toThrow(expect.objectContaining({ code: 'different-body' }));
  }, 120_000);
});
