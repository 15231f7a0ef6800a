import { beforeAll, describe, expect, it } from 'vitest';
import { compareScans } from '../../src/change/compare-scans.ts';
import type { ComparisonResult, TestedChange } from '../../src/change/change-result.ts';
import { applyToPoint, compose, invert, type Motion } from '../../src/geometry/motion.ts';
import type { Vec3 } from '../../src/geometry/vec3.ts';
import { type OpenedScan, openScan } from '../../src/measures/open-scan.ts';
import { comparisonRecord } from '../../src/records/comparison-record.ts';
import { parseComparison } from '../../src/records/comparison-schema.ts';
import { comparisonTable } from '../../src/reports/comparison-table.ts';
import { moved } from '../../src/segmentation/find-instrument.ts';
import { NO_NECK_CHANGE } from '../../src/samples/neck-change.ts';
import { modelRecord } from '../records/model-record.ts';
import { CLEAN, type ModelScanned, scanB } from './model-scans.ts';

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

/** u's that an error may reach: one in a hundred is larger. */
const FARTHEST_U = 2.58;

/** Right within its own uncertainty, and that no larger than the limit: the points lie some 1.5 mm apart. */
function expectNear(change: TestedChange | undefined, truth: number, limit: number): void {
  expect(Math.abs((change?.value as number) - truth)).toBeLessThan(FARTHEST_U * (change?.u as number));
  expect(change?.u).toBeLessThan(limit);
}

/** Two scans of one instrument, each in its own pose, with its own points and noise. */
let scans: readonly ModelScanned[];
let [first, sunk]: OpenedScan[] = [];

beforeAll(() => {
  const change = { ...NO_NECK_CHANGE, root: 0.25 * DEGREE, bend: 0.15 * DEGREE, yaw: 0.1 * DEGREE, shift: [0, 0.1, -0.15] as const };
  const look = (draw: string, spacing: number) => ({ ...CLEAN, draw, spacing });
  scans = [scanB(3, NO_NECK_CHANGE, look('first', 1.4)), scanB(3, change, look('second', 1.5))];
  [first, sunk] = scans.map(opened);
}, 120_000);

describe('a neck that sank', () => {
  let result: ComparisonResult;

  beforeAll(() => {
    result = compareScans(first as OpenedScan, sunk as OpenedScan);
  }, 120_000);

  it('is registered on the body alone', () => {
    // mm: three standard uncertainties of white noise on some 5000 places, at the body's corners.
    expect(farthest(result, first as OpenedScan, sunk as OpenedScan, [scans[0].truth, scans[1].truth])).toBeLessThan(0.02);
    expect(result.registration.stopped).toBe('settled');
    expect(result.registration.overlap).toBeGreaterThan(0.95);
    expect(Math.abs(result.registration.scale.value)).toBeLessThan(1e-4);
  });

  it('shows pitch, yaw and shift within the stated limits, with their signs', () => {
    const { neckPitch, neckYaw, neckShift } = result.changes;
    expectNear(neckPitch, 0.4, 0.01 /* degrees */);
    expectNear(neckYaw, 0.1, 0.03 /* degrees */);
    // The place at the joint: shifted, and turned about the heel's foot some 6 mm towards the scroll.
    expect(neckPitch?.significant).toBe(true);
    expect(neckShift?.significant).toBe(true);
    // The head moved with the wood and holds the shift along the body, which back and sides alone leave open by a tenth of a millimetre and more.
    expect(neckShift?.u[0]).toBeLessThan(0.03);
    expect(result.differences.projection?.value).toBeLessThan(-1);
    expect(result.differences.projection?.significant).toBe(true);
  });

  it('tells turn at the root from bend of the heel', () => {
    expectNear(result.changes.heelRootRotation, 0.25, 0.06 /* degrees */);
    expectNear(result.changes.heelBend, 0.15, 0.06 /* degrees */);
  });

  it('puts the change of projection down to the neck, and all three parts sum to it', () => {
    const { projectionByNeck, projectionByBoard, projectionByArch } = result.changes;
    const parts = [projectionByNeck, projectionByBoard, projectionByArch].map((c) => c?.value as number);
    expect(parts[0] + parts[1] + parts[2]).toBeCloseTo(result.differences.projection?.value as number, 9);
    expect(Math.abs(parts[1])).toBeLessThan(0.05 /* mm */);
    expect(Math.abs(parts[2])).toBeLessThan(0.02 /* mm */);
  });

  it('shows nothing of what did not change', () => {
    const { neckRoll, neckBend, projectionByBoard, projectionByArch, blockRotation } = result.changes;
    const { archHeight, scoopCentre, boardLength, widthLower, bodyLength } = result.differences;
    const still = [
      neckRoll,
      neckBend,
      projectionByBoard,
      projectionByArch,
      blockRotation,
      archHeight,
      scoopCentre,
      boardLength,
      widthLower,
      bodyLength,
    ];
    const seen = still.filter((c) => c !== undefined);
    expect(seen.length).toBeGreaterThan(7);
    expect(seen.filter((c) => c.significant === true)).toEqual([]);
    // Each by its own test has one chance in twenty.
    expect(seen.filter((c) => c.significantAlone === true).length).toBeLessThan(2);
  });

  it('takes the long waves from the bodies, so that no size of its budget is assumed', () => {
    expect(result.registration.longWave).toBeDefined();
    const entries = result.changes.neckPitch?.budget ?? [];
    expect(entries.map(({ source }) => source)).toContain('long-wave error, later scan');
    expect(entries.filter(({ assumed }) => assumed === true)).toEqual([]);
  });

  it('becomes a record, and a table that says what is real', () => {
    const record = comparisonRecord(modelRecord({ scan: 'later.ply' }), 'first.ply', result);
    expect(record).toMatchObject({ baseline: 'first.ply', scan: 'later.ply', measures: { neckPitch: { unit: 'deg', significant: true } } });
    expect(record.measures.neckShift?.value).toHaveLength(3);
    expect(record.measures.projection).toBeDefined();
    expect(Object.keys(record.differences)).not.toContain('stop');
    const stored = JSON.parse(JSON.stringify(record)) as unknown;
    expect(parseComparison(stored)).toEqual(stored);
    const table = comparisonTable(record);
    expect(table).toMatch(/Neck pitch +\+0\.\d+ ± .* REAL/);
    expect(table).toMatch(/Projection +−1\..* REAL/);
    expect(Math.max(...table.split('\n').map((line) => line.length))).toBeLessThanOrEqual(100);
  });
});

describe('what is not the same instrument', () => {
  /** The later scan with its surface put through a linear map; what was found in it stays, since only the body decides. */
  const mapped = (map: Motion): OpenedScan => ({
    ...(sunk as OpenedScan),
    work: { ...(sunk as OpenedScan).work, cloud: moved((sunk as OpenedScan).work.cloud, map) },
  });

  it.each([
    ['its mirror image', 'mirrored', Float64Array.of(1, 0, 0, 0, 0, -1, 0, 0, 0, 0, 1, 0)],
    ['a body 3 % wider', 'different-body', Float64Array.of(1, 0, 0, 0, 0, 1.03, 0, 0, 0, 0, 1, 0)],
    ['a body 8 % wider', 'different-body', Float64Array.of(1, 0, 0, 0, 0, 1.08, 0, 0, 0, 0, 1, 0)],
  ])('%s is refused', (_, code, map) => {
    expect(() => compareScans(first as OpenedScan, mapped(map))).toThrow(expect.objectContaining({ code }));
  });
});
