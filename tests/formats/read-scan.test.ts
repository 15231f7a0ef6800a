import { createHash } from 'node:crypto';
import { chmod, mkdir, mkdtemp, rm, symlink, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { parseScan, readScan } from '../../src/formats/read-scan.ts';
import { expectRefusal } from './expect-refusal.ts';
import { ply, stlBinary, text } from './writers.ts';

const TRIANGLE = { positions: [0, 0, 0, 1, 0, 0, 0, 1, 0], faces: [[0, 1, 2]] };
let folder = '';

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'scan-'));
});
afterAll(() => rm(folder, { recursive: true }));

async function file(name: string, bytes: Uint8Array): Promise<string> {
  await writeFile(join(folder, name), bytes);
  return join(folder, name);
}

const sha256 = (bytes: Uint8Array): string => createHash('sha256').update(bytes).digest('hex');

describe('a file', () => {
  const trailing = Buffer.alloc(3_000_000);
  test.each([
    ['binary STL', stlBinary(TRIANGLE)],
    ['PLY with much after its last row', Buffer.concat([ply(TRIANGLE, 'binary_big_endian'), trailing])],
    ['gzip', gzipSync(stlBinary(TRIANGLE))],
    ['gzip with bytes after it', Buffer.concat([gzipSync(stlBinary(TRIANGLE)), trailing])],
    ['text larger than the reading window', text(Array.from({ length: 600_000 }, (_, i) => i % 1000))],
  ])('of %s comes with the hash and the number of all its bytes', async (_what, bytes) => {
    const read = await readScan(await file('any.dat', bytes));
    expect({ sha256: read.sha256, bytes: read.bytes }).toEqual({ sha256: sha256(bytes), bytes: bytes.length });
    expect(read.scan.storedPoints).toBeGreaterThan(0);
  });

  test('is told by what it holds, whatever it is called', async () => {
    expect((await readScan(await file('a.obj', stlBinary(TRIANGLE)))).scan.format).toBe('stl-binary');
    expect((await readScan(await file('a.stl', gzipSync(text(TRIANGLE.positions))))).scan.format).toBe('text');
  });

  test('that is missing, a folder, no plain file or not allowed is unreadable', async () => {
    await expectRefusal(readScan(join(folder, 'none.stl')), 'unreadable', /no such file/);
    await expectRefusal(readScan(join(await file('b.stl', stlBinary(TRIANGLE)), 'c.stl')), 'unreadable', /no such file/);
    await mkdir(join(folder, 'scans.stl'));
    await expectRefusal(readScan(join(folder, 'scans.stl')), 'unreadable', /is a folder/);
    await expectRefusal(readScan('/dev/null'), 'unreadable', /not a plain file/);
    await symlink('loop.stl', join(folder, 'loop.stl'));
    await expectRefusal(readScan(join(folder, 'loop.stl')), 'unreadable', /circle/);
  });

  test('that this user may not read is unreadable', async () => {
    const path = await file('locked.stl', stlBinary(TRIANGLE));
    await chmod(path, 0);
    const superuser = process.geteuid?.() === 0; // may read everything: become somebody else for a moment
    if (superuser) process.seteuid?.(65534);
    try {
      await expectRefusal(readScan(path), 'unreadable', /may not be read/);
    } finally {
      if (superuser) process.seteuid?.(0);
    }
  });

  test('of no bytes is no scan', async () => {
    await expectRefusal(readScan(await file('empty.ply', new Uint8Array(0))), 'not-a-scan', /0 bytes/);
    await expectRefusal(parseScan(gzipSync(new Uint8Array(0))), 'not-a-scan', /nothing in it/);
  });
});

describe('something else', () => {
  test.each([
    ['zeros', Buffer.alloc(5000), 'not-a-scan', /no scan format/],
    ['prose', Buffer.from('The neck is set at 3 degrees, 27 mm high.\n'.repeat(40)), 'not-a-scan', /no scan format/],
    ['a list of names', Buffer.from('instrument,scan,date\nh-014,h-014.stl,2026-01-01\n'), 'not-a-scan', /no scan format/],
    ['a picture', Buffer.from('89504e470d0a1a0a0000000d49484452000000100000001008060000001ff3ff61', 'hex'), 'not-a-scan', /no scan format/],
    ['a web page', Buffer.from('<!DOCTYPE html><html><body>1 2 3</body></html>'), 'not-a-scan', /no scan format/],
    ['other JSON', Buffer.from('{"measures": [1, 2, 3]}'), 'not-a-scan', /no scan format/],
    ['a ZIP archive', Buffer.from('PK\u0003\u0004 and so on'), 'unsupported', /ZIP archive/],
    ['a LAS cloud', Buffer.from('LASF and so on'), 'unsupported', /LAS/],
    ['UTF-16', Buffer.from('\ufeff1 2 3\n4 5 6\n', 'utf16le'), 'unsupported', /UTF-8/],
    ['gzip in gzip', gzipSync(gzipSync(stlBinary(TRIANGLE))), 'unsupported', /twice/],
  ])('%s is refused', (_what, bytes, code, because) => expectRefusal(parseScan(bytes), code, because));

  test('random bytes are never a scan', async () => {
    let state = 12345;
    const next = (): number => {
      state = (Math.imul(state, 1664525) + 1013904223) >>> 0; // a linear congruential generator is random enough for this
      return state >>> 24;
    };
    for (let run = 0; run < 50; run++) {
      const bytes = Uint8Array.from({ length: 400 }, next);
      await expectRefusal(parseScan(bytes), 'not-a-scan', /no scan format/);
    }
  });
});

describe('gzip', () => {
  test('cut anywhere or damaged is refused', async () => {
    const bytes = gzipSync(ply({ positions: Array.from({ length: 300 }, (_, i) => Math.sin(i)), faces: [] }, 'ascii'));
    for (let length = 20; length < bytes.length; length += 37)
      await expectRefusal(parseScan(bytes.subarray(0, length)), 'truncated', /cut off/);
    const damaged = Buffer.from(bytes);
    damaged[damaged.length - 6] ^= 0xff; // in the checksum
    await expectRefusal(parseScan(damaged), 'malformed', /damaged/);
  });

  test('that expands a thousandfold is a bomb, whatever it pretends to hold', async () => {
    const zeros = Buffer.alloc(40 * 2 ** 20);
    const pretended = Buffer.concat([
      Buffer.from(
        'ply\nformat binary_little_endian 1.0\nelement vertex 3000000\nproperty float x\nproperty float y\nproperty float z\nend_header\n',
      ),
      zeros,
    ]);
    await expectRefusal(parseScan(gzipSync(zeros, { level: 1 })), 'too-large', /150 times/);
    await expectRefusal(parseScan(gzipSync(pretended, { level: 1 })), 'too-large', /150 times/);
  });

  test('in several members is one file', async () => {
    const bytes = stlBinary(TRIANGLE);
    const scan = await parseScan(Buffer.concat([gzipSync(bytes.subarray(0, 90)), gzipSync(bytes.subarray(90))]));
    expect(scan.storedTriangles).toBe(1);
  });
});
