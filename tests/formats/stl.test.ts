import { gzipSync } from 'node:zlib';
import { describe, expect, test } from 'vitest';
import { parseScan } from '../../src/formats/read-scan.ts';
import { expectPlaces } from './expect-places.ts';
import { expectRefusal } from './expect-refusal.ts';
import { stlAscii, stlBinary, type TestMesh } from './writers.ts';

const TETRAHEDRON: TestMesh = {
  positions: [0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1],
  faces: [
    [0, 2, 1],
    [0, 1, 3],
    [1, 2, 3],
    [0, 3, 2],
  ],
};

describe('binary STL', () => {
  test('is told by its size, not by a header that says solid', async () => {
    const scan = await parseScan(stlBinary(TETRAHEDRON, 'solid facet normal 0 0 0'));
    expect(scan).toMatchObject({ format: 'stl-binary', storedPoints: 12, storedTriangles: 4 });
    expect(scan.positions.length).toBe(12);
  });

  test('takes −0 and 0 for the same place and keeps what differs in the last bit', async () => {
    const next = 1 + 2 ** -23;
    const positions = [0, 0, 0, 1, 0, 0, 0, 1, 0, -0, -0, -0, 1, -0, 0, 0, next, 0];
    const scan = await parseScan(
      stlBinary({
        positions,
        faces: [
          [0, 1, 2],
          [3, 5, 4],
        ],
      }),
    );
    expect(Array.from(scan.positions)).toEqual([0, 0, 0, 1, 0, 0, 0, 1, 0, 0, next, 0]);
    expect(Array.from(scan.triangles ?? [])).toEqual([0, 1, 2, 0, 3, 1]);
  });

  test('leaves out a stray tail with a warning, and refuses facets that the header does not know of', async () => {
    const bytes = stlBinary(TETRAHEDRON);
    const scan = await parseScan(Buffer.concat([bytes, Buffer.from('made by me')]));
    expect(scan.dropped).toEqual({ degenerateTriangles: 0, trailingBytes: 10 });
    expect(scan.warnings).toEqual(['10 bytes after the last facet were left out']);
    await expectRefusal(
      parseScan(Buffer.concat([bytes, bytes.subarray(84)])),
      'malformed',
      /promises 4 facets, the file goes on for 200 bytes/,
    );
    const none = Buffer.from(bytes);
    none.writeUInt32LE(0, 80);
    await expectRefusal(parseScan(none), 'malformed', /promises 0 facets/);
  });

  test('refuses a promise that the file does not keep, however large', async () => {
    const bytes = stlBinary(TETRAHEDRON);
    for (const promised of [5, 432486, 0xffffffff]) {
      bytes.writeUInt32LE(promised, 80);
      await expectRefusal(parseScan(bytes), 'truncated', new RegExp(`promises ${promised} facets, the file ends after 4`));
    }
  });

  test.each([
    [Number.NaN, 'NaN'],
    [Number.POSITIVE_INFINITY, 'Infinity'],
    [-1e30, '-1.0'],
  ])('refuses the coordinate %d and names the facet', async (value, shown) => {
    const bytes = stlBinary(TETRAHEDRON);
    bytes.writeFloatLE(value, 84 + 50 * 2 + 12 + 16);
    await expectRefusal(parseScan(bytes), 'not-finite', new RegExp(`facet 3 has the coordinate ${shown}`));
  });

  test('does not mind a normal that is not finite', async () => {
    const bytes = stlBinary(TETRAHEDRON);
    bytes.writeFloatLE(Number.NaN, 84);
    expect((await parseScan(bytes)).storedTriangles).toBe(4);
  });

  test('refuses a file of nothing but degenerate facets', () =>
    expectRefusal(parseScan(stlBinary({ positions: TETRAHEDRON.positions, faces: [[0, 0, 1]] })), 'no-points', /none of its 1 facets/));

  test('keeps a mesh that lies far away as exact as its 32-bit numbers are', async () => {
    const far = TETRAHEDRON.positions.map((value, i) => Math.fround(100000 * ((i % 3) + 1) + 10 * value));
    const scan = await parseScan(stlBinary({ ...TETRAHEDRON, positions: far }));
    expect(scan.origin.every((value) => value !== 0)).toBe(true);
    expect(Math.max(...scan.positions.map(Math.abs))).toBeLessThanOrEqual(10);
    const found = Array.from(scan.triangles ?? []).map((vertex) => scan.origin[0] + scan.positions[3 * vertex]);
    expect(found).toEqual(TETRAHEDRON.faces.flat().map((vertex) => far[3 * vertex]));
  });
});

describe('binary STL of any number of facets', () => {
  test.each([127, 128, 129, 1001, 70001])('%d facets with no corner in common', async (facets) => {
    const positions = Array.from({ length: 9 * facets }, (_, i) => i + 1);
    const faces = Array.from({ length: facets }, (_, i) => [3 * i, 3 * i + 1, 3 * i + 2]);
    const bytes = stlBinary({ positions, faces });
    for (const content of [bytes, gzipSync(bytes, { level: 1 })]) {
      const scan = await parseScan(content);
      expect(scan.positions.length).toBe(positions.length);
      expect(scan.triangles?.length).toBe(3 * facets);
      expect(scan.triangles?.every((vertex, i) => vertex === i)).toBe(true);
      expectPlaces(scan, positions, 0.05 /* 32-bit rounding at 630,009 */);
    }
  });
});

describe('text STL', () => {
  const facet = 'facet normal 0 0 1 outer loop vertex 0 0 0 vertex 1 0 0 vertex 0 1 0 endloop endfacet';

  test.each([
    ['all in one line', `solid one ${facet} endsolid one`],
    ['a word a line', `solid\n${facet.replaceAll(' ', '\n')}\nendsolid`],
    ['capitals and tabs', `SOLID X\n${facet.toUpperCase().replaceAll(' ', '\t\t')}\nENDSOLID X`],
    ['CR LF', `solid\r\n${facet}\r\nendsolid\r\n`],
    ['CR alone', `solid\r${facet}\rendsolid\r`],
    ['a byte order mark and blank lines in front', `\u00ef\u00bb\u00bf\n\n  solid\n${facet}\nendsolid`],
    ['no name, and facet in a name', `solid facet of a stone\n${facet}\nendsolid facet of a stone\n\n`],
    ['an empty solid before it', `solid a\nendsolid a\nsolid b\n${facet}\nendsolid b`],
    ['a normal that is not a number', `solid\n${facet.replace('0 0 1', 'nan nan nan')}\nendsolid`],
  ])('is read with %s', async (_what, content) => {
    const scan = await parseScan(Buffer.from(content, 'latin1'));
    expect(scan).toMatchObject({ format: 'stl-ascii', storedPoints: 3, storedTriangles: 1 });
    expect(Array.from(scan.positions)).toEqual([0, 0, 0, 1, 0, 0, 0, 1, 0]);
  });

  test.each([
    ['four corners', facet.replace('endloop', 'vertex 1 1 0 endloop'), 'malformed', /line 2: expected `endloop`, found `vertex`/],
    ['two corners', facet.replace('vertex 0 1 0 ', ''), 'malformed', /expected `vertex`, found `endloop`/],
    ['a word for a number', facet.replace('vertex 1 0 0', 'vertex 1 o 0'), 'malformed', /line 2: `o` is not a number/],
    ['a corner at infinity', facet.replace('vertex 1 0 0', 'vertex 1 -inf 0'), 'not-finite', /line 2 has the coordinate -inf/],
    [
      'a corner that is not a number',
      facet.replace('vertex 1 0 0', 'vertex 1 -nan(ind) 0'),
      'not-finite',
      /line 2 has the coordinate -nan/,
    ],
    ['something else in between', `${facet}\ncolour red`, 'malformed', /line 3: expected `facet`, found `colour`/],
  ])('is refused with %s', (_what, content, code, because) =>
    expectRefusal(parseScan(Buffer.from(`solid\n${content}\nendsolid\n`)), code, because),
  );

  test('is refused when it ends before its solid does, wherever it is cut', async () => {
    const bytes = stlAscii(TETRAHEDRON);
    const end = bytes.indexOf('endsolid') + 'endsolid'.length;
    for (let length = 'solid'.length; length < end; length++)
      await expectRefusal(parseScan(bytes.subarray(0, length)), 'truncated', /cut off/);
  });
});

test('prose that begins with the word solid is no scan', () =>
  expectRefusal(
    parseScan(Buffer.from('solid evidence is needed\nbefore anything is said about a neck.\n')),
    'not-a-scan',
    /no scan format/,
  ));
