import { describe, expect, test } from 'vitest';
import { parseScan } from '../../src/formats/read-scan.ts';
import { expectPlaces } from './expect-places.ts';
import { expectRefusal } from './expect-refusal.ts';
import { ply, type PlyEncoding } from './writers.ts';

const SQUARE = { positions: [0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0], faces: [[0, 1, 2, 3]] };
const VERTEX = 'property float x\nproperty float y\nproperty float z\n';
const ENCODINGS: readonly PlyEncoding[] = ['ascii', 'binary_little_endian', 'binary_big_endian'];

function asciiPly(header: string, rows: string): Buffer {
  return Buffer.from(`ply\nformat ascii 1.0\n${header}end_header\n${rows}`);
}

describe('PLY', () => {
  test.each(ENCODINGS)('%s: a face of n corners becomes n − 2 triangles', async (encoding) => {
    const scan = await parseScan(ply(SQUARE, encoding));
    expect(scan.storedTriangles).toBe(2);
    expect(Array.from(scan.triangles ?? [])).toEqual([0, 1, 2, 0, 2, 3]);
  });

  test('a strip turns every other triangle over, and starts afresh after −1', async () => {
    const rows = '0 0 0\n1 0 0\n0 1 0\n1 1 0\n0 2 0\n1 2 0\n';
    const scan = await parseScan(
      asciiPly(`element vertex 6\n${VERTEX}element tristrips 1\nproperty list int int vertex_indices\n`, `${rows}8 0 1 2 3 -1 2 3 4\n`),
    );
    expect(Array.from(scan.triangles ?? [])).toEqual([0, 1, 2, 2, 1, 3, 2, 3, 4]);
    expect(scan.dropped).toEqual({ degenerateTriangles: 0, unreferencedPoints: 1 });
  });

  test('properties, elements and lists that say nothing about places are passed over', async () => {
    const header =
      `element camera 1\nproperty float view_px\nproperty list uchar float k\nelement vertex 3\nproperty uchar red\n${VERTEX}property list uchar int rings\n` +
      'element face 1\nproperty uchar flags\nproperty list uchar uint vertex_index\nproperty list uchar float texcoord\nelement nothing 4\n';
    const rows = '7 2 1 2\n255 0 0 0 0\n255 1 0 0 2 5 6\n255 0 1 0 1 9\n1 3 0 1 2 2 0.5 0.5\n';
    const scan = await parseScan(asciiPly(header, rows));
    expect(Array.from(scan.positions)).toEqual([0, 0, 0, 1, 0, 0, 0, 1, 0]);
    expect(Array.from(scan.triangles ?? [])).toEqual([0, 1, 2]);
  });

  test('doubles kilometres away keep a tenth of a micrometre', async () => {
    const far = [6378137.0123, 299792.4581, -12742.0987, 6378137.0124, 299792.4582, -12742.0986, 6378137.3, 299792.8, -12742.1];
    for (const encoding of ENCODINGS) {
      const scan = await parseScan(ply({ positions: far, faces: [] }, encoding, 'double'));
      expectPlaces(scan, far, 1e-7);
    }
  });

  test('one stray point does not cost the others their digits', async () => {
    const far = [0, 0, 0, ...Array.from({ length: 60 }, (_, i) => 4000000 + i * 0.0001)];
    const scan = await parseScan(ply({ positions: far, faces: [] }, 'binary_little_endian', 'double'));
    expectPlaces({ ...scan, positions: scan.positions.subarray(3) }, far.slice(3), 1e-9);
  });

  test('a few faces on a large cloud do not make it a mesh', async () => {
    const rows = Array.from({ length: 10 }, (_, i) => `${i} ${i * i} 0\n`).join('');
    const scan = await parseScan(
      asciiPly(`element vertex 10\n${VERTEX}element face 1\nproperty list uchar int vertex_indices\n`, `${rows}3 0 1 2\n`),
    );
    expect(scan.triangles).toBeUndefined();
    expect(scan.positions.length).toBe(30);
    expect(scan.dropped).toEqual({ looseFaces: 1 });
    expect(scan.warnings).toEqual(['only 3 of 10 points belong to a face: read as a point cloud']);
  });

  test('what follows the last promised row is left out with a warning', async () => {
    const text = await parseScan(Buffer.concat([ply(SQUARE, 'ascii'), Buffer.from('1 2 3\n')]));
    expect(text.dropped).toEqual({ degenerateTriangles: 0, trailingLines: 1 });
    const binary = await parseScan(Buffer.concat([ply(SQUARE, 'binary_big_endian'), Buffer.alloc(7)]));
    expect(binary.dropped).toEqual({ degenerateTriangles: 0, trailingBytes: 7 });
    expect(binary.warnings).toHaveLength(1);
  });

  test.each(ENCODINGS)('%s: cut anywhere, it is refused as cut off', async (encoding) => {
    const bytes = ply(
      {
        ...SQUARE,
        faces: [
          [0, 1, 2, 3],
          [0, 1, 2],
          [0, 2, 3],
        ],
      },
      encoding,
    );
    // a text file without its last line end, or with its last index cut, is still one row long
    const end = encoding === 'ascii' ? bytes.length - 2 : bytes.length;
    for (let length = 4; length < end; length++)
      await expectRefusal(parseScan(bytes.subarray(0, length)), 'truncated', /cut off; export it again/);
  });

  test('a promise of more says what was promised and what was there', async () => {
    const bytes = Buffer.from(ply(SQUARE, 'binary_little_endian').toString('latin1').replace('face 1', 'face 7'), 'latin1');
    await expectRefusal(parseScan(bytes), 'truncated', /header promises 7 rows of `face`, the file ends after 1: it is cut off/);
    const huge = Buffer.from(
      ply(SQUARE, 'binary_little_endian').toString('latin1').replace('vertex 4', 'vertex 281474976710655'),
      'latin1',
    );
    await expectRefusal(parseScan(huge), 'truncated', /281474976710655/);
  });

  const cases: readonly [string, string, string, string, RegExp][] = [
    [
      'a vertex that the file does not have',
      `element vertex 1\n${VERTEX}element face 1\nproperty list uchar int vertex_index\n`,
      '0 0 0\n3 0 0 1\n',
      'malformed',
      /line 11 refers to vertex 1, the file has 1/,
    ],
    [
      'a negative vertex',
      `element vertex 1\n${VERTEX}element face 1\nproperty list uchar int vertex_index\n`,
      '0 0 0\n3 0 0 -2\n',
      'malformed',
      /refers to vertex -2/,
    ],
    ['a coordinate that is not finite', `element vertex 2\n${VERTEX}`, '0 0 0\n1 nan 0\n', 'not-finite', /line 9 has the coordinate NaN/],
    ['a coordinate that overflows', `element vertex 1\n${VERTEX}`, '0 1e999 0\n', 'not-finite', /line 8 has the coordinate Infinity/],
    ['a word for a number', `element vertex 1\n${VERTEX}`, '0 zero 0\n', 'malformed', /line 8: `zero` is not a number/],
    ['a row that is too short', `element vertex 2\n${VERTEX}`, '0 0\n0 0 0\n', 'malformed', /line 8: a row of `vertex` with fewer values/],
    ['a row that is too long', `element vertex 1\n${VERTEX}`, '0 0 0 9\n', 'malformed', /line 8: a row of `vertex` with more values/],
    ['no vertices', `element vertex 0\n${VERTEX}`, '', 'no-points', /no points/],
    ['no element vertex', 'element face 0\nproperty list uchar int vertex_index\n', '', 'no-points', /no element `vertex`/],
    ['no z', 'element vertex 1\nproperty float x\nproperty float y\n', '0 0\n', 'malformed', /no property `z`/],
    [
      'faces without corners',
      `element vertex 1\n${VERTEX}element face 1\nproperty uchar red\n`,
      '0 0 0\n1\n',
      'malformed',
      /no list `vertex_indices`/,
    ],
    ['an unknown type', 'element vertex 1\nproperty constructor x\n', '0\n', 'unsupported', /line 4: property type `constructor`/],
    ['a count that is none', `element vertex -5\n${VERTEX}`, '', 'malformed', /line 3: `-5` is not a number of rows/],
    ['a word that has no place in a header', `element vertex 1\n${VERTEX}colour red\n`, '0 0 0\n', 'malformed', /line 7: `colour`/],
  ];
  test.each(cases)('is refused with %s', (_what, header, rows, code, because) =>
    expectRefusal(parseScan(asciiPly(header, rows)), code, because),
  );

  test('binary: names the row of a coordinate that is not finite', async () => {
    const positions = [...SQUARE.positions];
    positions[7] = Number.POSITIVE_INFINITY;
    for (const encoding of ['binary_little_endian', 'binary_big_endian'] as const) {
      await expectRefusal(parseScan(ply({ ...SQUARE, positions }, encoding)), 'not-finite', /vertex 2 has the coordinate Infinity/);
    }
  });

  test('a header whose lines end in CR alone leaves a first data byte of 10 alone', async () => {
    const header = `ply\nformat binary_little_endian 1.0\nelement vertex 1\n${VERTEX}end_header\n`.replaceAll('\n', '\r');
    const body = Buffer.from(Float32Array.of(1, 2, 3).buffer);
    body[0] = 10;
    const scan = await parseScan(Buffer.concat([Buffer.from(header), body]));
    expect(scan.storedPoints).toBe(1);
    expect(scan.origin[0] + scan.positions[0]).toBe(body.readFloatLE(0));
  });

  test('a face of two corners is counted and left out', async () => {
    const scan = await parseScan(
      ply(
        {
          ...SQUARE,
          faces: [
            [0, 1, 2, 3],
            [0, 1],
          ],
        },
        'binary_little_endian',
      ),
    );
    expect(scan.dropped).toEqual({ facesBelowThreeCorners: 1, degenerateTriangles: 0 });
  });

  test('an element larger than the reading window is read whole', async () => {
    const corners = Array.from({ length: 400_000 }, (_, i) => i % 4);
    const header = `ply\nformat binary_little_endian 1.0\nelement vertex 4\n${VERTEX}element tristrips 1\nproperty list int int vertex_indices\nend_header\n`;
    const body = Buffer.concat([
      Buffer.from(Float32Array.from(SQUARE.positions).buffer),
      Buffer.from(Int32Array.from([corners.length].concat(corners)).buffer),
    ]);
    const scan = await parseScan(Buffer.concat([Buffer.from(header), body]));
    expect(scan.storedTriangles).toBe(399_998);
  });
});
