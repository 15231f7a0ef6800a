import { mkdir, readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { writeWhole } from '../../src/records/write-whole.ts';
import { emptyFolder, put } from '../cli/scan-files.ts';

it('a file is written whole, its folder made, and nothing else is left', async () => {
  const dir = await emptyFolder();
  await writeWhole(join(dir, 'a', 'b', 'c.json'), 'content');
  expect(await readFile(join(dir, 'a', 'b', 'c.json'), 'utf8')).toBe('content');
  expect(await readdir(join(dir, 'a', 'b'))).toEqual(['c.json']);
});

it('what cannot be written leaves the folder as it was', async () => {
  const dir = await emptyFolder();
  // A folder stands where the file should go, so the last step fails.
  await mkdir(join(dir, 'taken', 'inside'), { recursive: true });
  await expect(writeWhole(join(dir, 'taken'), 'content')).rejects.toThrow();
  expect(await readdir(dir)).toEqual(['taken']);
});

it('writers of one file at the same time leave one of their versions, not a mixture', async () => {
  const dir = await emptyFolder();
  const path = await put(dir, 'x', 'old');
  const versions = Array.from({ length: 20 }, (_, i) => String(i).repeat(50_000));
  await Promise.all(versions.map((version) => writeWhole(path, version)));
  expect(versions).toContain(await readFile(path, 'utf8'));
  expect(await readdir(dir)).toEqual(['x']);
});
