import { describe, expect, test } from 'vitest';
import { parseScan } from '../../src/formats/read-scan.ts';
import { expectPlaces } from './expect-places.ts';
import { expectRefusal } from './expect-refusal.ts';

const read = (text: string) => parseScan(Buffer.from(text));
const POINTS = [0.5, -1, 2, 1.25, 0, 3, -0.125, 1, 2];

describe('a text cloud', () => {
  test.each([
    ['spaces', '0.5 -1 2\n1.25 0 3\n-.125 1. 2e0\n'],
    ['several spaces and tabs', '  0.5\t -1   2 \n1.25\t0\t3\n-0.125 1 2\n'],
    ['commas', '0.5,-1,2\n1.25,0,3\n-0.125,1,2\n'],
    ['commas and spaces', '0.5, -1, 2\n1.25, 0, 3\n-0.125, 1, 2\n'],
    ['semicolons', '0.5;-1;2\n1.25;0;3\n-0.125;1;2\n'],
    ['semicolons and decimal commas', '0,5;-1;2\n1,25;0;3\n-0,125;1,0;2\n'],
    ['spaces and decimal commas', '0,5 -1,0 2,0\n1,25 0,0 3,0\n-,125 1,0 2,0\n'],
    ['tabs and decimal commas', '0,5\t-1\t2\n1,25\t0\t3\n-0,125\t1\t2\n'],
    ['quotes', '"0.5","-1","2"\n"1.25","0","3"\n"-0.125","1","2"\n'],
    ['quoted decimal commas', '"0,5","-1,0","2"\n"1,25","0","3"\n"-0,125","1","2"\n'],
    ['CR LF and no last line end', '0.5 -1 2\r\n1.25 0 3\r\n-0.125 1 2'],
    ['CR alone', '0.5 -1 2\r1.25 0 3\r-0.125 1 2\r'],
    ['blank lines and comments', '# scanned\n\n// twice\n0.5 -1 2\n\n1.25 0 3\n# end of part\n-0.125 1 2\n\n'],
    ['a byte order mark', '\ufeff0.5 -1 2\n1.25 0 3\n-0.125 1 2\n'],
    ['a count line', '3\n0.5 -1 2\n1.25 0 3\n-0.125 1 2\n'],
    ['a count line for each of two scans', '2\n0.5 -1 2\n1.25 0 3\n1\n-0.125 1 2\n'],
    ['a header', 'X,Y,Z\n0.5,-1,2\n1.25,0,3\n-0.125,1,2\n'],
    ['a header with other columns and another order', 'id;"Z [mm]";"Y [mm]";"X [mm]";note\na;2;-1;0.5;\nb;3;0;1.25;x y\nc;2;1;-0.125;\n'],
    ['a header in a comment', '//X Y Z R G B\n0.5 -1 2 1 2 3\n1.25 0 3 1 2 3\n-0.125 1 2 1 2 3\n'],
    ['names with units', 'pos_x_mm\tpos_y_mm\tpos_z_mm\tIntensity\n0.5\t-1\t2\t7\n1.25\t0\t3\t7\n-0.125\t1\t2\t7\n'],
    ['empty fields beyond the three', '0.5,-1,2,,\n1.25,0,3,,\n-0.125,1,2,,\n'],
    ['rows of different length', '0.5 -1 2 9 9\n1.25 0 3\n-0.125 1 2 9\n'],
    ['colours that are not finite', '0.5 -1 2 nan\n1.25 0 3 inf\n-0.125 1 2 x\n'],
  ])('with %s', async (_what, text) => {
    const scan = await read(text);
    expect(scan).toMatchObject({ format: 'text', storedPoints: 3, storedTriangles: 0, triangles: undefined, dropped: {} });
    expect(Array.from(scan.positions, (value, i) => value + scan.origin[i % 3])).toEqual(POINTS);
  });

  test('with titles that name no columns takes the first three and says so', async () => {
    const scan = await read('scanned in the workshop, by hand\nin the morning\tand slowly\n0.5 -1 2\n1.25 0 3\n');
    expect(scan.storedPoints).toBe(2);
    expect(scan.warnings).toEqual(['2 lines before the first point name no columns: the first three columns were taken']);
  });

  test('whose first column counts the rows takes the three after it and says so', async () => {
    const scan = await read(Array.from({ length: 9 }, (_, i) => `${i + 1} ${i / 2} 0 ${i * i}\n`).join(''));
    expect(Array.from(scan.positions.subarray(6, 9))).toEqual([1, 0, 4]);
    expect(scan.warnings).toEqual(['the first column counts the rows: the three after it were taken']);
  });

  test('with more rows than its count line promises is read whole, with a warning', async () => {
    const scan = await read('2\n0 0 0\n1 1 1\n2 2 2\n');
    expect(scan.storedPoints).toBe(3);
    expect(scan.warnings).toEqual(['count line promises 2 points, the file has 3: all were read']);
  });

  test('keeps ten thousandths of a unit at the far end of a map grid', async () => {
    const scan = await read('500000.0001 4649776.2247 12.3456\n500000.0002 4649776.2248 12.3457\n500000.3554 4649776.2249 12.3458\n');
    const written = [500000.0001, 4649776.2247, 12.3456, 500000.0002, 4649776.2248, 12.3457, 500000.3554, 4649776.2249, 12.3458];
    expectPlaces(scan, written, 1e-7);
  });

  test.each([
    ['a promise of more', '5\n0 0 0\n1 1 1\n', 'truncated', /promises 5 points, the file ends after 2/],
    ['a last line that is cut', '0 0 0 7\n1 1 1', 'truncated', /middle of line 2/],
    ['a short row', '0 0 0\n1 1\n2 2 2\n', 'malformed', /line 2 has 2 fields, the first point has 3/],
    ['a row of words', '0 0 0\nscan two follows here\n', 'malformed', /line 2: `scan` is not a number/],
    ['a coordinate that is not a number', '0 0 0\n1 NaN 1\n', 'not-finite', /line 2 has the coordinate NaN/],
    ['a coordinate at infinity', '0;0;0\n1;-inf;1\n', 'not-finite', /line 2 has the coordinate -inf/],
    ['an empty coordinate', '0,0,0\n1,,1\n', 'malformed', /line 2: `` is not a number/],
    [
      'points and commas mixed',
      '0,5;1;2\n1.5;1;2\n',
      'malformed',
      /line 2: `1\.5` is not a number, where numbers before it have a decimal comma/,
    ],
    ['thousands marked', '1,234.5;1;2\n', 'not-a-scan', /no scan format/],
    ['a header without z', 'x,y,height\n0,0,0\n', 'malformed', /does not name one x, one y and one z/],
    ['a header of other names', 'east,north,up\n0,0,0\n', 'malformed', /does not name one x/],
    ['a PTX grid', '2\n1\n0 0 0\n1 0 0\n0 1 0\n0 0 1\n', 'unsupported', /PTX/],
    ['two columns', '0 0\n1 1\n', 'not-a-scan', /no scan format/],
  ])('is refused with %s', (_what, text, code, because) => expectRefusal(read(text), code, because));
});
