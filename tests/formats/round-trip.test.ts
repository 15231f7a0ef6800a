import fc from 'fast-check';
import { gzipSync } from 'node:zlib';
import { describe, expect, test } from 'vitest';
import { parseScan } from '../../src/formats/read-scan.ts';
import type { Scan } from '../../src/geometry/scan.ts';
import { glbMesh, obj, pcd, ply, stlAscii, stlBinary, type TestMesh, text } from './writers.ts';

const SEED = 20260401;
const RUNS = 30;

/** Coordinates of scans in any unit; −0 among them. */
const coordinate = fc.float({ min: -4096, max: 4096, noNaN: true, noDefaultInfinity: true });
const cloud = fc.array(fc.tuple(coordinate, coordinate, coordinate), { minLength: 1, maxLength: 40 }).map((points) => points.flat());
const mesh: fc.Arbitrary<TestMesh> = fc
  .array(fc.tuple(coordinate, coordinate, coordinate), { minLength: 4, maxLength: 30 })
  .chain((points) =>
    fc
      .array(fc.uniqueArray(fc.nat(points.length - 1), { minLength: 3, maxLength: 3 }), { minLength: points.length, maxLength: 60 })
      .map((faces) => ({ positions: points.flat(), faces })),
  );

/** 32-bit rounding of a coordinate relative to an origin within the scan: half a unit in the last place of 2 × 4096. */
const ROUNDING = 8192 * 2 ** -24;

const MESH_FORMATS: readonly [string, (mesh: TestMesh) => Buffer][] = [
  ['binary STL', stlBinary],
  ['text STL', stlAscii],
  ['text PLY', (m) => ply(m, 'ascii')],
  ['little-endian PLY', (m) => ply(m, 'binary_little_endian')],
  ['big-endian PLY', (m) => ply(m, 'binary_big_endian')],
  ['little-endian PLY of doubles', (m) => ply(m, 'binary_little_endian', 'double')],
  ['big-endian PLY of doubles', (m) => ply(m, 'binary_big_endian', 'double')],
  ['OBJ', obj],
  ['GLB', glbMesh],
];

const CLOUD_FORMATS: readonly [string, (positions: number[]) => Buffer][] = [
  ['text', (p) => text(p)],
  ['text with commas', (p) => text(p, ',')],
  ['text with semicolons', (p) => text(p, ';')],
  ['text PCD', (p) => pcd(p, 'ascii')],
  ['binary PCD', (p) => pcd(p, 'binary')],
  ['compressed PCD', (p) => pcd(p, 'binary_compressed')],
  ['text PLY', (p) => ply({ positions: p, faces: [] }, 'ascii')],
  ['big-endian PLY', (p) => ply({ positions: p, faces: [] }, 'binary_big_endian')],
  ['OBJ', (p) => obj({ positions: p, faces: [] })],
  ['GLB', (p) => glbMesh({ positions: p, faces: [] })],
];

/** Corner coordinates of every triangle, in order, in the file's own frame. */
function soup(scan: Scan): number[] {
  return Array.from(scan.triangles ?? []).flatMap((vertex) =>
    [0, 1, 2].map((axis) => scan.origin[axis] + scan.positions[3 * vertex + axis]),
  );
}

function expectClose(found: readonly number[], expected: readonly number[]): void {
  expect(found.length).toBe(expected.length);
  const worst = found.reduce((most, value, i) => Math.max(most, Math.abs(value - expected[i])), 0);
  expect(worst).toBeLessThanOrEqual(ROUNDING);
}

const key = (positions: readonly number[], vertex: number): string => [0, 1, 2].map((axis) => positions[3 * vertex + axis] + 0).join();

const wholeFaces = ({ positions, faces }: TestMesh): readonly (readonly number[])[] =>
  faces.filter((face) => new Set(face.map((vertex) => key(positions, vertex))).size === 3);

/** A mesh of degenerate facets holds nothing, and one most of whose points are in no face is a cloud by definition: neither is the subject here. */
const isMesh = (written: TestMesh): boolean =>
  wholeFaces(written).length > 0 && new Set(written.faces.flat()).size * 2 >= written.positions.length / 3;

describe.each(MESH_FORMATS)('a random mesh written as %s', (_name, write) => {
  test(`comes back with its facets in order, without the degenerate ones (seed ${SEED})`, async () => {
    await fc.assert(
      fc.asyncProperty(mesh, async (written) => {
        const whole = wholeFaces(written);
        fc.pre(isMesh(written));
        const scan = await parseScan(write(written));
        expectClose(
          soup(scan),
          whole.flat().flatMap((vertex) => written.positions.slice(3 * vertex, 3 * vertex + 3)),
        );
        expect(scan.dropped['degenerateTriangles']).toBe(written.faces.length - whole.length);
        expect(scan.storedTriangles).toBe(written.faces.length);
      }),
      { seed: SEED, numRuns: RUNS },
    );
  });

  test('has no two equal vertices and none that no facet uses', async () => {
    await fc.assert(
      fc.asyncProperty(mesh, async (written) => {
        fc.pre(isMesh(written));
        const { positions, triangles, dropped } = await parseScan(write(written));
        const keys = Array.from({ length: positions.length / 3 }, (_, vertex) => key(Array.from(positions), vertex));
        expect(new Set(keys).size).toBe(keys.length);
        if (dropped['degenerateTriangles'] === 0) expect(new Set(triangles).size).toBe(keys.length);
      }),
      { seed: SEED, numRuns: RUNS },
    );
  });
});

describe.each(CLOUD_FORMATS)('a random cloud written as %s', (_name, write) => {
  test(`comes back point by point, packed with gzip or not (seed ${SEED})`, async () => {
    await fc.assert(
      fc.asyncProperty(cloud, async (written) => {
        for (const bytes of [write(written), gzipSync(write(written))]) {
          const scan = await parseScan(bytes);
          expect(scan.triangles).toBeUndefined();
          expectClose(
            Array.from(scan.positions, (value, i) => value + scan.origin[i % 3]),
            written,
          );
        }
      }),
      { seed: SEED, numRuns: RUNS },
    );
  });
});
