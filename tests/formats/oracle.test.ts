import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { BufferGeometry } from 'three';
import { PLYLoader, STLLoader } from 'three-stdlib';
import { expect, test } from 'vitest';
import { parseScan } from '../../src/formats/read-scan.ts';
import type { Scan } from '../../src/geometry/scan.ts';

const FOLDER = fileURLToPath(new URL('./files/', import.meta.url));

/** Files that the other reader cannot read, each with what it does. */
const BEYOND_THE_ORACLE: readonly string[] = [
  'data-begin-with-a-newline-byte.ply', // takes the first byte of the data for the end of the header
  'big-endian-doubles-polygons.ply', // leaves out faces of five corners
  'faces-before-vertices-doubles.ply', // the same
  'property-of-type-bool.ply', // does not know the type
];

function cornersOf(geometry: BufferGeometry): number[] {
  const { array, count } = geometry.getAttribute('position');
  const order = geometry.index === null ? Array.from({ length: count }, (_, i) => i) : Array.from(geometry.index.array);
  return order.flatMap((vertex) => [array[3 * vertex], array[3 * vertex + 1], array[3 * vertex + 2]]);
}

function cornersOfScan({ positions, origin, triangles }: Scan): number[] {
  const order = triangles === undefined ? Array.from({ length: positions.length / 3 }, (_, i) => i) : Array.from(triangles);
  return order.flatMap((vertex) => [0, 1, 2].map((axis) => Math.fround(positions[3 * vertex + axis] + origin[axis])));
}

/** Facets with two equal corners go: here they are counted and left out. */
function withoutDegenerate(corners: readonly number[]): number[] {
  const kept: number[] = [];
  for (let i = 0; i < corners.length; i += 9) {
    const points = [0, 3, 6].map((k) =>
      corners
        .slice(i + k, i + k + 3)
        .map((value) => value + 0)
        .join(),
    );
    if (new Set(points).size === 3) kept.push(...corners.slice(i, i + 9));
  }
  return kept;
}

const files = readdirSync(FOLDER).filter(
  (name) => /\.(stl|ply)$/.test(name) && !name.startsWith('empty-') && !BEYOND_THE_ORACLE.includes(name),
);

test.each(files)('%s holds the same corners in the same order as three-stdlib finds', async (file) => {
  const bytes = readFileSync(FOLDER + file);
  const content = bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.length) as ArrayBuffer;
  const geometry = file.endsWith('.stl') ? new STLLoader().parse(content) : new PLYLoader().parse(content);
  const scan = await parseScan(bytes);
  const expected = cornersOf(geometry);
  const found = cornersOfScan(scan);
  const wanted = scan.triangles === undefined ? expected : withoutDegenerate(expected);
  expect(found.length).toBe(wanted.length);
  expect(found.length).toBeGreaterThan(0);
  // both round text to 32 bits; ours after the subtraction of the origin, hence one more rounding
  const worst = found.reduce((most, value, i) => Math.max(most, Math.abs(value - wanted[i]) / Math.max(1, Math.abs(wanted[i]))), 0);
  expect(worst).toBeLessThanOrEqual(2 ** -23);
});
