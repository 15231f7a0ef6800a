import { expect, test } from 'vitest';
import { cloudFromScan } from '../../src/cloud/cloud-from-scan.ts';
import { InputError } from '../../src/geometry/input-error.ts';
import { random } from '../../src/numerics/random.ts';
import { findInstrument } from '../../src/segmentation/find-instrument.ts';
import { animal, box, cloudScan, guitar, loneBoard, lute, plane, randomPoints, smallGuitar, sphere, torus } from './shapes.ts';

type Rows = readonly (readonly [number, number, number])[];

function refusalOf(act: () => unknown): InputError {
  try {
    act();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error('an instrument was found');
}

const THINGS: readonly (readonly [string, () => Rows])[] = [
  ['a cube', () => box(100, 100, 100)],
  ['a brick', () => box(350, 200, 40)],
  ['a sphere', sphere],
  ['a torus', torus],
  ['an animal', animal],
  ['random points', () => randomPoints(random('random points'))],
  ['a table with nothing on it', plane],
  ['a guitar', guitar],
  ['a small guitar', smallGuitar],
  ['a lute', lute],
  ['a lone fingerboard', loneBoard],
];

test.each(THINGS)('%s is no instrument', (_, make) => {
  const error = refusalOf(() => findInstrument(cloudFromScan(cloudScan(make())), random('find')));
  expect(error.code).toBe('no-instrument');
  expect(error.message.length).toBeGreaterThan(20);
});

const DEGENERATE: readonly (readonly [string, Rows])[] = [
  ...[0, 1, 2, 3, 4].map((n) => [`${n} points`, Array.from({ length: n }, (_, i) => [i, i * i, 7 * i * i * i] as const)] as const),
  ['1000 equal points', Array.from({ length: 1000 }, () => [1, 2, 3] as const)],
  ['1000 points on a line', Array.from({ length: 1000 }, (_, i) => [i, 2 * i, -i] as const)],
  ['1000 points on an axis', Array.from({ length: 1000 }, (_, i) => [i, 0, 0] as const)],
  ['two heaps far apart', Array.from({ length: 1000 }, (_, i) => [i % 2 === 0 ? 0 : 1e6, (i % 7) * 1e-3, (i % 5) * 1e-3] as const)],
];

test.each(DEGENERATE)('%s are refused, not crashed on', (_, rows) => {
  const error = refusalOf(() => findInstrument(cloudFromScan(cloudScan(rows)), random('find')));
  expect(['no-instrument', 'no-points']).toContain(error.code);
});

test.each([
  ['without triangles', new Uint32Array(0)],
  ['of facets without area', Uint32Array.from({ length: 900 }, (_, i) => Math.floor(i / 3))],
  ['of one triangle', Uint32Array.of(0, 1, 50)],
])('a mesh %s is refused', (_, triangles) => {
  const scan = { ...cloudScan(plane()), triangles };
  expect(refusalOf(() => findInstrument(cloudFromScan(scan), random('find'))).code).toMatch(/^no-(instrument|points)$/);
});
