import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { parseScan, readScan } from '../../src/formats/read-scan.ts';
import { expectPlaces } from './expect-places.ts';
import { expectRefusal } from './expect-refusal.ts';
import { glb, glbMesh } from './writers.ts';

const TRIANGLE = { positions: [0, 0, 0, 1, 0, 0, 0, 1, 0], faces: [[0, 1, 2]] };
const BODY = Buffer.from(Float32Array.from(TRIANGLE.positions).buffer);

type Json = Record<string, unknown>;

/** A document that shows `BODY` as one triangle; `changes` replace its entries. */
function document(changes: Json = {}): Json {
  return {
    asset: { version: '2.0' },
    nodes: [{ mesh: 0 }],
    meshes: [{ primitives: [{ attributes: { POSITION: 0 } }] }],
    accessors: [{ bufferView: 0, componentType: 5126, count: 3, type: 'VEC3' }],
    bufferViews: [{ buffer: 0, byteLength: 36 }],
    buffers: [{ byteLength: 36 }],
    ...changes,
  };
}

async function pointsOf(bytes: Uint8Array): Promise<number[]> {
  const scan = await parseScan(bytes);
  return Array.from(scan.positions, (value, i) => value + scan.origin[i % 3]);
}

describe('glTF', () => {
  test('is in metres, placed by its nodes, without scene, textures and cameras', async () => {
    const changes = {
      nodes: [
        { children: [1, 2], translation: [10, 0, 0] },
        { mesh: 0, scale: [2, 2, 2], rotation: [0, 0, Math.SQRT1_2, Math.SQRT1_2] },
        { camera: 0 },
      ],
      cameras: [{ type: 'perspective', perspective: { yfov: 1, znear: 1 } }],
      images: [{ uri: 'https://example.org/varnish.png' }],
      textures: [{ source: 0 }],
      materials: [{ pbrMetallicRoughness: { baseColorTexture: { index: 0 } } }],
      meshes: [{ primitives: [{ attributes: { POSITION: 0, NORMAL: 7 }, material: 0 }] }],
    };
    const scan = await parseScan(glb(document(changes), BODY));
    expect(scan).toMatchObject({ format: 'glb', formatUnit: 'm', storedPoints: 3, storedTriangles: 1 });
    // turned by 90° about z, doubled, moved: (1, 0) goes to (10, 2), (0, 1) to (8, 0)
    const expected = [10, 0, 0, 10, 2, 0, 8, 0, 0];
    expectPlaces(scan, expected, 1e-6 /* 32-bit rounding */);
  });

  test('a node that mirrors turns facets over, so that they still face outwards', async () => {
    const scan = await parseScan(glbMesh(TRIANGLE, { scale: [1, 1, -1] }));
    expect(Array.from(scan.triangles ?? [])).toEqual([0, 1, 2]);
    expect(Array.from(scan.positions)).toEqual([0, 0, -0, 0, 1, -0, 1, 0, -0].map((value) => value + 0));
  });

  test('a mesh shown twice is there twice', async () => {
    const scan = await parseScan(glb(document({ nodes: [{ mesh: 0 }, { mesh: 0, translation: [0, 0, 5] }] }), BODY));
    expect(scan).toMatchObject({ storedPoints: 6, storedTriangles: 2 });
  });

  test('interleaved, whose last entry ends the view', async () => {
    const body = Buffer.alloc(20 * 2 + 12);
    for (const [i, value] of TRIANGLE.positions.entries()) body.writeFloatLE(value, 20 * Math.floor(i / 3) + 4 * (i % 3));
    const changes = { bufferViews: [{ buffer: 0, byteLength: 52, byteStride: 20 }], buffers: [{ byteLength: 52 }] };
    expect(await pointsOf(glb(document(changes), body))).toEqual(TRIANGLE.positions);
  });

  test.each([
    ['normalised bytes', 5120, 127, Int8Array],
    ['normalised unsigned shorts', 5123, 65535, Uint16Array],
  ])('quantised as %s', async (_what, componentType, full, Values) => {
    const values = Values.from(TRIANGLE.positions.map((value) => value * full));
    const changes = {
      extensionsUsed: ['KHR_mesh_quantization'],
      extensionsRequired: ['KHR_mesh_quantization'],
      accessors: [{ bufferView: 0, componentType, normalized: true, count: 3, type: 'VEC3' }],
      bufferViews: [{ buffer: 0, byteLength: values.byteLength }],
      buffers: [{ byteLength: values.byteLength }],
    };
    expect(await pointsOf(glb(document(changes), new Uint8Array(values.buffer)))).toEqual(TRIANGLE.positions);
  });

  test('sparse, over nothing and over a view', async () => {
    const body = Buffer.concat([BODY, Buffer.from([2, 0, 0, 0]), Buffer.from(Float32Array.of(0, 7, 0).buffer)]);
    const sparse = { count: 1, indices: { bufferView: 1, componentType: 5121 }, values: { bufferView: 2 } };
    const views = {
      bufferViews: [
        { buffer: 0, byteLength: 36 },
        { buffer: 0, byteOffset: 36, byteLength: 4 },
        { buffer: 0, byteOffset: 40, byteLength: 12 },
      ],
      buffers: [{ byteLength: 52 }],
    };
    const over = { ...views, accessors: [{ bufferView: 0, componentType: 5126, count: 3, type: 'VEC3', sparse }] };
    expect(await pointsOf(glb(document(over), body))).toEqual([0, 0, 0, 1, 0, 0, 0, 7, 0]);
    const alone = {
      ...views,
      accessors: [{ componentType: 5126, count: 3, type: 'VEC3', sparse }],
      meshes: [{ primitives: [{ attributes: { POSITION: 0 }, mode: 0 }] }],
    };
    expect(await pointsOf(glb(document(alone), body))).toEqual([0, 0, 0, 0, 0, 0, 0, 7, 0]);
  });

  test('strips and fans are triangles', async () => {
    const square = { positions: [0, 0, 0, 1, 0, 0, 0, 1, 0, 1, 1, 0], faces: [] };
    const corners = Buffer.from(Uint16Array.of(0, 1, 2, 3).buffer);
    const body = Buffer.concat([Buffer.from(Float32Array.from(square.positions).buffer), corners]);
    for (const [mode, expected] of [
      [5, [0, 1, 2, 2, 1, 3]],
      [6, [0, 1, 2, 0, 2, 3]],
    ] as const) {
      const changes = {
        meshes: [{ primitives: [{ attributes: { POSITION: 0 }, indices: 1, mode }] }],
        accessors: [
          { bufferView: 0, componentType: 5126, count: 4, type: 'VEC3' },
          { bufferView: 1, componentType: 5123, count: 4, type: 'SCALAR' },
        ],
        bufferViews: [
          { buffer: 0, byteLength: 48 },
          { buffer: 0, byteOffset: 48, byteLength: 8 },
        ],
        buffers: [{ byteLength: 56 }],
      };
      const scan = await parseScan(glb(document(changes), body));
      expect(scan.storedTriangles).toBe(2);
      const sets = (list: readonly number[]) => [list.slice(0, 3), list.slice(3)].map((triangle) => triangle.toSorted().join());
      const places = Array.from(scan.triangles ?? []).map((vertex) => scan.positions[3 * vertex] + 2 * scan.positions[3 * vertex + 1]);
      expect(sets(places)).toEqual(sets(expected));
    }
  });

  test('as JSON with its buffer embedded, beside it or nowhere', async () => {
    const withUri = (uri: string) => Buffer.from(JSON.stringify(document({ buffers: [{ byteLength: 36, uri }] })));
    const embedded = withUri(`data:application/octet-stream;base64,${BODY.toString('base64')}`);
    expect(await parseScan(embedded)).toMatchObject({ format: 'gltf', storedPoints: 3 });
    const folder = await mkdtemp(join(tmpdir(), 'scan-'));
    try {
      await writeFile(join(folder, 'points 1.bin'), BODY);
      await writeFile(join(folder, 'a.gltf'), withUri('points%201.bin'));
      const { scan } = await readScan(join(folder, 'a.gltf'));
      expect(scan.storedPoints).toBe(3);
      expect(scan.warnings[0]).toMatch(/points 1\.bin beside it/);
      await writeFile(join(folder, 'b.gltf'), withUri('other.bin'));
      await expectRefusal(readScan(join(folder, 'b.gltf')), 'unreadable', /other\.bin, which cannot be read beside it \(ENOENT\)/);
      for (const uri of ['../a.bin', '%2e%2e%2fa.bin', '/etc/passwd', 'https://example.org/a.bin', 'file:///a.bin', '%E0%A4%A']) {
        await writeFile(join(folder, 'c.gltf'), withUri(uri));
        await expectRefusal(readScan(join(folder, 'c.gltf')), 'unsupported', /not a file beside it/);
      }
    } finally {
      await rm(folder, { recursive: true });
    }
  });

  test('cut anywhere, a GLB is refused', async () => {
    const bytes = glbMesh(TRIANGLE);
    for (let length = 4; length < bytes.length; length += 3)
      await expectRefusal(parseScan(bytes.subarray(0, length)), 'truncated', /export it again/);
  });

  test('cut anywhere, a glTF is refused', async () => {
    const bytes = Buffer.from(JSON.stringify(document({ buffers: [{ byteLength: 36, uri: `data:;base64,${BODY.toString('base64')}` }] })));
    for (let length = 40; length < bytes.length; length += 3) {
      const code = await parseScan(bytes.subarray(0, length)).then(
        () => 'read',
        (error: { code: string }) => error.code,
      );
      expect(['truncated', 'malformed']).toContain(code);
    }
  });

  const nan = Buffer.from(BODY);
  nan.writeFloatLE(Number.NaN, 16);
  test.each<[string, Buffer, string, RegExp]>([
    ['a point that is not finite', glb(document(), nan), 'not-finite', /mesh 0, point 1 has the coordinate NaN/],
    ['a corner beyond the points', glbMesh({ ...TRIANGLE, faces: [[0, 1, 3]] }), 'malformed', /mesh 0 refers to point 3, it has 3/],
    [
      'a view beyond its buffer',
      glb(document({ bufferViews: [{ buffer: 0, byteOffset: 4, byteLength: 36 }] }), BODY),
      'truncated',
      /beyond its buffer/,
    ],
    [
      'an accessor beyond its view',
      glb(document({ accessors: [{ bufferView: 0, componentType: 5126, count: 4, type: 'VEC3' }] }), BODY),
      'malformed',
      /has 36 bytes, 48 are used/,
    ],
    [
      'a buffer shorter than promised',
      glb(document({ buffers: [{ byteLength: 99 }] }), BODY),
      'truncated',
      /promises 99 bytes, 36 are there/,
    ],
    [
      'a node among its own children',
      glb(document({ nodes: [{ children: [1] }, { children: [0] }] }), BODY),
      'malformed',
      /own descendants/,
    ],
    ['a missing mesh', glb(document({ nodes: [{ mesh: 3 }] }), BODY), 'malformed', /mesh 3/],
    [
      'corners that make no triangle',
      glb(document({ accessors: [{ bufferView: 0, componentType: 5126, count: 2, type: 'VEC3' }] }), BODY),
      'malformed',
      /no whole number of triangles/,
    ],
    [
      'a compression that is required',
      glb(document({ extensionsRequired: ['KHR_draco_mesh_compression'] }), BODY),
      'unsupported',
      /KHR_draco_mesh_compression/,
    ],
    ['an old version', glb(document({ asset: { version: '1.0' } }), BODY), 'unsupported', /glTF 1\.0/],
    [
      'a wrong type',
      glb(document({ accessors: [{ bufferView: 0, componentType: 5126, count: 'three', type: 'VEC3' }] }), BODY),
      'malformed',
      /accessors\.0\.count/,
    ],
    [
      'a huge accessor over nothing',
      glb(document({ accessors: [{ componentType: 5126, count: 4e9, type: 'VEC3' }] }), BODY),
      'too-large',
      /4000000000 entries/,
    ],
    ['no mesh', glb(document({ nodes: [{}] }), BODY), 'no-points', /no points/],
  ])('is refused with %s', (_what, bytes, code, because) => expectRefusal(parseScan(bytes), code, because));
});
