import { describe, expect, test } from 'vitest';
import { parseScan } from '../../src/formats/read-scan.ts';
import { expectRefusal } from './expect-refusal.ts';

const SQUARE = 'v 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\n';
const read = (text: string) => parseScan(Buffer.from(text));

describe('OBJ', () => {
  test.each([
    ['plain indices', `${SQUARE}f 1 2 3 4\n`],
    ['texture and normal indices', `${SQUARE}vt 0 0\nvn 0 0 1\nf 1/1/1 2//1 3/1 4\n`],
    ['negative indices', `${SQUARE}f -4 -3 -2 -1\n`],
    ['a face before its vertices', `f 1 2 3 4\n${SQUARE}`],
    ['a continued line', `${SQUARE}f 1 2 \\\n 3 4\n`],
    ['a continued vertex, CR LF', `v 0 0 \\\r\n0\r\n${SQUARE.slice(8)}f 1 2 3 4\r\n`],
    ['groups, comments, materials, lines', `# square\nmtllib a.mtl\no thing\ng a b\n${SQUARE}usemtl red\ns off\nl 1 2\np 1\nf 1 2 3 4 \n`],
    ['weights and colours', `v 0 0 0 1\nv 1 0 0 0.1 0.2 0.3\nv 1 1 0 nan nan nan\nv 0 1 0\nf 1 2 3 4\n`],
    ['tabs and indents', `${SQUARE.replaceAll(' ', '\t')}  f\t1 2 3 4\n`],
  ])('%s', async (_what, text) => {
    const scan = await read(text);
    expect(scan).toMatchObject({ format: 'obj', storedPoints: 4, storedTriangles: 2, dropped: { degenerateTriangles: 0 }, warnings: [] });
    expect(Array.from(scan.positions)).toEqual([0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0]);
    expect(Array.from(scan.triangles ?? [])).toEqual([0, 1, 2, 0, 2, 3]);
  });

  test('equal vertices become one, unused ones are counted', async () => {
    const scan = await read(`${SQUARE}v 0 0 0\nv 9 9 9\nf 1 2 3\nf 5 3 4\n`);
    expect(Array.from(scan.triangles ?? [])).toEqual([0, 1, 2, 0, 2, 3]);
    expect(scan.dropped).toEqual({ degenerateTriangles: 0, unreferencedPoints: 1 });
  });

  test('a last line without its end is mentioned', async () =>
    expect((await read(`${SQUARE}f 1 2 3 4`)).warnings).toEqual(['the last line has no end: the file may be cut off']));

  test.each([
    ['vertex beyond the last', `${SQUARE}f 1 2 5\n`, 'malformed', /line 5 refers to vertex 5, the file has 4/],
    ['vertex zero', `${SQUARE}f 0 1 2\n`, 'malformed', /line 5: `0` is not a vertex/],
    ['vertex before the first', `${SQUARE}f -5 1 2\n`, 'malformed', /line 5: `-5` is not a vertex/],
    ['broken index', `${SQUARE}f 1.5 2 3\n`, 'malformed', /line 5: `1\.5` is not a vertex/],
    ['face of two corners', `${SQUARE}f 1 2\n`, 'malformed', /line 5: a face with fewer than three corners/],
    ['face cut off', `${SQUARE}f 1 2`, 'truncated', /middle of line 5/],
    ['vertex cut off', `${SQUARE}v 1 2`, 'truncated', /middle of line 5/],
    ['cut off at a continuation', `${SQUARE}f 1 2 \\\n`, 'truncated', /middle of line 5/],
    ['coordinate not a number', `${SQUARE}v 1 nan 2\n`, 'not-finite', /line 5 has the coordinate nan/],
    ['word for a number', `${SQUARE}v 1 1,5 2\n`, 'malformed', /line 5: `1,5` is not a number/],
  ])('is refused for: %s', (_what, text, code, because) => expectRefusal(read(text), code, because));
});
