import { describe, expect, it } from 'vitest';
import { parseScan } from '../../src/formats/read-scan.ts';
import { type ScanFormat, writeScan } from '../../src/samples/write-scan.ts';

const positions = Float64Array.of(0, 0, 0, 10.25, 0, -1.5, 0, 20.125, 3, 5, 5, 30.0625);
const triangles = Uint32Array.of(0, 1, 2, 0, 3, 1, 1, 3, 2, 2, 3, 0);
const FORMATS: ScanFormat[] = [
  'stl-binary',
  'stl-ascii',
  'ply-ascii',
  'ply-little-endian',
  'ply-big-endian',
  'obj',
  'pcd-ascii',
  'pcd-binary',
  'xyz',
];

describe('scan writers', () => {
  for (const packing of ['plain', 'gzip'] as const) {
    it.each(FORMATS)(`write %s (${packing}) that reads back`, async (format) => {
      const scan = await parseScan(writeScan({ positions, triangles }, format, 'mm', packing));
      const back = Array.from(scan.positions, (v, i) => v + scan.origin[i % 3]);
      const rows = (a: ArrayLike<number>) =>
        Array.from({ length: a.length / 3 }, (_, i) => [0, 1, 2].map((k) => a[3 * i + k].toFixed(3)).join(' ')).sort();
      expect(rows(back)).toEqual(rows(positions));
      const cloud = format.startsWith('pcd') || format === 'xyz';
      expect(scan.triangles?.length ?? 0).toBe(cloud ? 0 : 12);
    });
  }

  it('refuses a cloud as STL', () => {
    expect(() => writeScan({ positions, triangles: undefined }, 'stl-binary', 'mm', 'plain')).toThrow(RangeError);
  });

  it('writes metres to a micrometre in text', () => {
    const text = new TextDecoder().decode(
      writeScan({ positions: Float64Array.of(0.123456, 0, 0), triangles: undefined }, 'xyz', 'm', 'plain'),
    );
    expect(text).toBe('0.123456 0.000000 0.000000\n');
  });
});
