import { readdirSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import type { Scan } from '../../src/geometry/scan.ts';
import { readScan } from '../../src/formats/read-scan.ts';
import { expectPlaces } from './expect-places.ts';
import { expectRefusal } from './expect-refusal.ts';

const FOLDER = fileURLToPath(new URL('./files/', import.meta.url));

interface Valid {
  readonly file: string;
  readonly format: string;
  /** As stored. */
  readonly points: number;
  readonly triangles: number;
  /** After equal vertices of meshes were merged. */
  readonly distinct: number;
  /** Extent along x, y, z, rounded to 4 places. */
  readonly size: readonly [number, number, number];
  readonly dropped?: Readonly<Record<string, number>>;
}

/** Points, triangles and sizes were found by a second parser first, written for the purpose in another language; `distinct` by hand where it is small. */
const VALID: readonly Valid[] = [
  { file: 'ascii-colour-as-float.pcd', format: 'pcd-ascii', points: 213, triangles: 0, distinct: 213, size: [1.9471, 0.6719, 0] },
  { file: 'ascii-far-away-commas.pcd', format: 'pcd-ascii', points: 10, triangles: 0, distinct: 10, size: [4.35, 1.98, 0.18] },
  { file: 'ascii-far-away-spaces.pcd', format: 'pcd-ascii', points: 10, triangles: 0, distinct: 10, size: [4.35, 1.98, 0.18] },
  { file: 'ascii-far-away-tabs.pcd', format: 'pcd-ascii', points: 10, triangles: 0, distinct: 10, size: [4.35, 1.98, 0.18] },
  {
    file: 'big-endian-doubles-polygons.ply',
    format: 'ply-binary-big-endian',
    points: 50,
    triangles: 80,
    distinct: 50,
    size: [13.4875, 2.3162, 2.3162],
  },
  { file: 'binary-mixed-field-types.pcd', format: 'pcd-binary', points: 1000, triangles: 0, distinct: 1000, size: [1.3759, 0.2752, 0.65] },
  { file: 'cloud-with-a-list-element.ply', format: 'ply-ascii', points: 5, triangles: 0, distinct: 5, size: [0.0018, 0.0007, 0.0022] },
  { file: 'cloud-with-normals-ascii.ply', format: 'ply-ascii', points: 4, triangles: 0, distinct: 4, size: [0, 1, 1] },
  {
    file: 'cloud-with-zero-faces-ascii.ply',
    format: 'ply-ascii',
    points: 1024,
    triangles: 0,
    distinct: 1024,
    size: [265.5073, 209.3957, 167.8175],
  },
  { file: 'cloud-with-zero-faces-binary.ply', format: 'ply-binary-little-endian', points: 8, triangles: 0, distinct: 8, size: [2, 2, 2] },
  { file: 'coloured-vertices.obj', format: 'obj', points: 8, triangles: 12, distinct: 8, size: [1, 1, 1] },
  { file: 'colours-are-nan-cr-lf.obj', format: 'obj', points: 8, triangles: 12, distinct: 8, size: [1, 1, 1] },
  {
    file: 'compressed-padded-to-a-page.pcd',
    format: 'pcd-binary-compressed',
    points: 13704,
    triangles: 0,
    distinct: 13704,
    size: [0.1539, 0.2521, 0.177],
    dropped: { trailingBytes: 3913 },
  },
  { file: 'corners-stored-three-times.ply', format: 'ply-binary-little-endian', points: 24, triangles: 12, distinct: 8, size: [2, 2, 2] },
  { file: 'count-line-intensity.pts', format: 'text', points: 8, triangles: 0, distinct: 8, size: [37.2618, 28.3635, 1217.7429] },
  { file: 'count-line-six-decimals.pts', format: 'text', points: 10, triangles: 0, distinct: 10, size: [23.56, 376.4, 84.22] },
  {
    file: 'data-begin-with-a-newline-byte.ply',
    format: 'ply-binary-little-endian',
    points: 8,
    triangles: 12,
    distinct: 8,
    size: [1, 1, 1],
  },
  {
    file: 'degenerate-facets-binary.stl',
    format: 'stl-binary',
    points: 4104,
    triangles: 1368,
    distinct: 722,
    size: [6.2298, 8, 3.2987],
    dropped: { degenerateTriangles: 56 },
  },
  { file: 'empty-second-solid.stl', format: 'stl-ascii', points: 3, triangles: 1, distinct: 3, size: [2, 2, 0] },
  { file: 'exponents-ascii.stl', format: 'stl-ascii', points: 24, triangles: 8, distinct: 6, size: [1, 1, 1] },
  {
    file: 'faces-before-vertices-doubles.ply',
    format: 'ply-binary-little-endian',
    points: 50,
    triangles: 80,
    distinct: 50,
    size: [13.4875, 2.3162, 2.3162],
  },
  { file: 'far-away-six-decimals.xyz', format: 'text', points: 100, triangles: 0, distinct: 100, size: [16.496, 41.3997, 12.3892] },
  { file: 'float-colours.ply', format: 'ply-ascii', points: 3, triangles: 1, distinct: 3, size: [200, 200, 0] },
  { file: 'header-begins-with-solid-after-a-space.stl', format: 'stl-binary', points: 36, triangles: 12, distinct: 8, size: [2, 2, 2] },
  { file: 'header-begins-with-solid.stl', format: 'stl-binary', points: 2112, triangles: 704, distinct: 398, size: [1.3386, 1, 1.352] },
  { file: 'header-commas-cr-lf.txt', format: 'text', points: 10, triangles: 0, distinct: 10, size: [4.35, 1.98, 0.18] },
  { file: 'header-grid.txt', format: 'text', points: 81, triangles: 0, distinct: 81, size: [4, 4, 1] },
  { file: 'header-repeated-points.txt', format: 'text', points: 7, triangles: 0, distinct: 7, size: [0, 1, 1] },
  { file: 'header-spaces-cr-lf.txt', format: 'text', points: 10, triangles: 0, distinct: 10, size: [4.35, 1.98, 0.18] },
  {
    file: 'last-header-line-ends-in-cr-lf.ply',
    format: 'ply-binary-little-endian',
    points: 8,
    triangles: 12,
    distinct: 8,
    size: [1, 1, 1],
  },
  { file: 'negative-indices.obj', format: 'obj', points: 8, triangles: 12, distinct: 8, size: [2, 2, 2] },
  { file: 'normals-between-points.obj', format: 'obj', points: 3, triangles: 0, distinct: 3, size: [0.0679, 0.0114, 0.0126] },
  { file: 'property-of-type-bool.ply', format: 'ply-binary-little-endian', points: 6, triangles: 0, distinct: 6, size: [1, 1, 1] },
  { file: 'six-columns-no-header.xyz', format: 'text', points: 6, triangles: 0, distinct: 6, size: [1, 1, 1] },
  { file: 'some-vertices-coloured.obj', format: 'obj', points: 5, triangles: 3, distinct: 5, size: [1, 1, 1] },
  { file: 'two-solids-mixed-case.stl', format: 'stl-ascii', points: 72, triangles: 24, distinct: 16, size: [6, 1, 1] },
  { file: 'two-solids-named.stl', format: 'stl-ascii', points: 96, triangles: 32, distinct: 20, size: [0.636, 1.0884, 0.3399] },
  { file: 'two-solids.stl', format: 'stl-ascii', points: 6, triangles: 2, distinct: 6, size: [4, 4, 0] },
];

const BAD: readonly { readonly file: string; readonly code: string; readonly because: RegExp }[] = [
  { file: 'empty-ascii-no-last-newline.stl', code: 'no-points', because: /no facets/ },
  { file: 'empty-ascii.stl', code: 'no-points', because: /no facets/ },
  { file: 'empty-binary.stl', code: 'no-points', because: /no facets/ },
  { file: 'header-names-x-twice.txt', code: 'malformed', because: /`X,Y,X` does not name/ },
  { file: 'sign-before-the-exponent-letter.obj', code: 'malformed', because: /line 11: `3\.1\+e2`/ },
];

function extent(scan: Scan, axis: number): number {
  let least = Infinity;
  let most = -Infinity;
  for (let i = axis; i < scan.positions.length; i += 3) {
    least = Math.min(least, scan.positions[i]);
    most = Math.max(most, scan.positions[i]);
  }
  return most - least;
}

describe('files of other software', () => {
  test.each(VALID)('$file is read as $format', async ({ file, format, points, triangles, distinct, size, dropped = {} }) => {
    const { scan } = await readScan(FOLDER + file);
    const left = Object.fromEntries(Object.entries(scan.dropped).filter(([, count]) => count > 0));
    expect({
      format: scan.format,
      points: scan.storedPoints,
      triangles: scan.storedTriangles,
      distinct: scan.positions.length / 3,
      dropped: left,
      kept: (scan.triangles?.length ?? 0) / 3,
    }).toEqual({ format, points, triangles, distinct, dropped, kept: triangles - (dropped['degenerateTriangles'] ?? 0) });
    // half of the last place to which the sizes are given, and 32-bit rounding of the largest
    const errors = size.map((expected, axis) => Math.abs(extent(scan, axis) - expected));
    expect(Math.max(...errors)).toBeLessThan(0.6e-4);
  });

  test.each(BAD)('$file is refused as $code', ({ file, code, because }) => expectRefusal(readScan(FOLDER + file), code, because));

  test('no file is left out of the tables', () => {
    const files = readdirSync(FOLDER).filter((name) => !name.startsWith('.') && name !== 'LICENCES');
    expect(files.toSorted()).toEqual([...VALID, ...BAD].map(({ file }) => file).toSorted());
  });

  test('rows far from the origin keep every digit that is written', async () => {
    const { scan } = await readScan(`${FOLDER}far-away-six-decimals.xyz`);
    // first row of the file: 665187.522077 5648349.895035 241.767693
    expectPlaces(scan, [665187.522077, 5648349.895035, 241.767693], 1e-6 /* the last digit */);
  });
});
