import { describe, expect, test } from 'vitest';
import { expandLzf } from '../../src/formats/lzf.ts';
import { parseScan } from '../../src/formats/read-scan.ts';
import { expectRefusal } from './expect-refusal.ts';
import { lzf, pcd, type PcdData } from './writers.ts';

const POSITIONS = [0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1];
const ALL: readonly PcdData[] = ['ascii', 'binary', 'binary_compressed'];

const HEADER = 'VERSION .7\nFIELDS x y z\nSIZE 4 4 4\nTYPE F F F\nCOUNT 1 1 1\nWIDTH 2\nHEIGHT 2\nPOINTS 4\n';
const ascii = (rows: string, header = HEADER): Buffer => Buffer.from(`${header}DATA ascii\n${rows}`);

describe('PCD', () => {
  test.each(ALL)('%s: gaps of an organised cloud are left out and counted', async (data) => {
    const scan = await parseScan(pcd([...POSITIONS, NaN, NaN, NaN, 5, Infinity, 5], data));
    expect(scan.storedPoints).toBe(6);
    expect(Array.from(scan.positions)).toEqual(POSITIONS);
    expect(scan.dropped).toEqual({ invalidPoints: 2 });
  });

  test.each(ALL)('%s: nothing but gaps is no scan', (data) =>
    expectRefusal(parseScan(pcd([NaN, NaN, NaN], data)), 'no-points', /none of its 1 points is finite/),
  );

  test.each(ALL)('%s: cut anywhere, it is refused', async (data) => {
    const bytes = pcd(POSITIONS, data);
    const end = data === 'ascii' ? bytes.length - 2 : bytes.length;
    for (let length = bytes.indexOf('FIELDS') + 7; length < end; length++) {
      const error = await parseScan(bytes.subarray(0, length)).then(
        () => `read with ${length} of ${bytes.length} bytes`,
        (reason: { code?: string }) => reason.code,
      );
      // a header line that is cut in its last word may still be a line
      expect(['truncated', length < bytes.indexOf('DATA') + 5 + data.length ? 'unsupported' : 'truncated']).toContain(error);
    }
  });

  test.each(ALL)('%s: what follows the promised points is left out with a warning', async (data) => {
    const scan = await parseScan(Buffer.concat([pcd(POSITIONS, data), Buffer.from('0 0 0\n')]));
    expect(scan.dropped).toEqual(data === 'ascii' ? { trailingLines: 1 } : { trailingBytes: 6 });
    expect(scan.warnings).toHaveLength(1);
  });

  test('doubles and whole numbers are coordinates too', async () => {
    const header = Buffer.from('VERSION .7\nFIELDS z y x\nSIZE 2 8 1\nTYPE I F U\nCOUNT 1 1 1\nWIDTH 1\nHEIGHT 1\nPOINTS 1\nDATA binary\n');
    const body = Buffer.alloc(11);
    body.writeInt16LE(-300, 0);
    body.writeDoubleLE(4000000.000001, 2);
    body.writeUInt8(200, 10);
    const scan = await parseScan(Buffer.concat([header, body]));
    expect([0, 1, 2].map((axis) => scan.origin[axis] + scan.positions[axis])).toEqual([200, 4000000.000001, -300]);
  });

  test.each([
    [
      'grid and count that disagree',
      ascii('0 0 0\n', HEADER.replace('POINTS 4', 'POINTS 5')),
      'malformed',
      /WIDTH × HEIGHT is 4, POINTS is 5/,
    ],
    ['a promise of more', ascii('0 0 0\n1 1 1\n'), 'truncated', /promises 4 points, the file ends after 2/],
    ['a row that is too short', ascii('0 0 0\n1 1\n2 2 2\n3 3 3\n'), 'malformed', /line 11: 2 values where the header promises 3/],
    ['a word for a number', ascii('0 0 0\n1 one 1\n2 2 2\n3 3 3\n'), 'malformed', /line 11: `one` is not a number/],
    ['no z', ascii('0 0 0\n', HEADER.replace('x y z', 'x y w')), 'malformed', /no single field `z`/],
    ['lists that disagree', ascii('0 0 0\n', HEADER.replace('SIZE 4 4 4', 'SIZE 4 4')), 'malformed', /FIELDS has 3 entries, SIZE 2/],
    ['an unknown type', ascii('0 0 0\n', HEADER.replace('SIZE 4 4 4', 'SIZE 4 4 3')), 'unsupported', /`z` of type F3/],
    ['unknown data', Buffer.from(`${HEADER}DATA packed\n`), 'unsupported', /`packed`/],
    [
      'far too many points',
      ascii('', HEADER.replace('POINTS 4', 'POINTS 4000000000').replace('WIDTH 2', 'WIDTH 2000000000')),
      'too-large',
      /60 million/,
    ],
    ['no points', ascii('', HEADER.replace('POINTS 4', 'POINTS 0').replace('WIDTH 2', 'WIDTH 0')), 'no-points', /no points/],
  ])('is refused with %s', (_what, bytes, code, because) => expectRefusal(parseScan(bytes), code, because));

  test('a compressed block that does not hold what its header says is refused', async () => {
    const bytes = pcd(POSITIONS, 'binary_compressed');
    const start = bytes.indexOf('compressed\n') + 'compressed\n'.length;
    const longer = Buffer.from(bytes);
    longer.writeUInt32LE(65, start + 4);
    await expectRefusal(parseScan(longer), 'malformed', /promises 65 bytes, 4 points take 64/);
    const damaged = Buffer.from(bytes);
    damaged[start + 8] = 0xff; // a copy of bytes that were not there yet
    await expectRefusal(parseScan(damaged), 'malformed', /damaged/);
  });
});

describe('LZF', () => {
  test('copies may overlap what they write', () => {
    // one literal 'a', then a copy of 2 + 7 + 1 = 10 bytes from one byte back
    expect(Buffer.from(expandLzf(Uint8Array.of(0, 97, 0xe0, 1, 0), 11)).toString()).toBe('a'.repeat(11));
  });

  test('what was packed comes back: runs, repeats from afar, noise', () => {
    const inputs = [
      Buffer.alloc(3000),
      Buffer.from('abcabcabcd'.repeat(90)),
      Buffer.from(Array.from({ length: 2000 }, (_, i) => (i * i * 31) & 255)),
      Buffer.concat([
        Buffer.from('beginning'),
        Buffer.from(Array.from({ length: 8000 }, (_, i) => (i * 7919) >> 5)),
        Buffer.from('beginning'),
      ]),
    ];
    for (const input of inputs) expect(Buffer.from(expandLzf(lzf(input), input.length)).equals(input)).toBe(true);
  });

  test('every cut is noticed', () => {
    const packed = lzf(Buffer.from('abcabcabcabcabcxyz'));
    for (let length = 0; length < packed.length; length++) expect(() => expandLzf(packed.subarray(0, length), 18)).toThrow(/damaged/);
    expect(() => expandLzf(packed, 17)).toThrow(/damaged/);
    expect(() => expandLzf(packed, 19)).toThrow(/damaged/);
  });
});
