import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { onTestFinished } from 'vitest';

/** An empty folder that goes when the test ends. */
export async function emptyFolder(): Promise<string> {
  const dir = await mkdtemp(join(tmpdir(), 'necksight-test-'));
  onTestFinished(() => rm(dir, { recursive: true, force: true }));
  return dir;
}

/** A text cloud of `count` different points. */
export const cloudText = (count: number): string =>
  Array.from({ length: count }, (_, i) => `${i} ${(i * 7) % 13} ${(i * i) % 11}.5\n`).join('');

export async function put(dir: string, name: string, content: string | Uint8Array): Promise<string> {
  const path = join(dir, name);
  await mkdir(dirname(path), { recursive: true });
  await writeFile(path, content);
  return path;
}

/** A folder with scans, a catalogue of them and a pipeline file; point counts decide what becomes of each scan. */
export async function collection(
  counts: readonly number[],
  rows: readonly string[] = [],
): Promise<{ dir: string; pipeline: string; catalogue: string }> {
  const dir = await emptyFolder();
  for (const [i, count] of counts.entries()) await put(dir, `scans/${scanName(i)}.xyz`, cloudText(count));
  const lines = counts.map((_, i) => `${scanName(i)},scans/${scanName(i)}.xyz,2026-01-0${1 + (i % 9)},Early\n`);
  const catalogue = await put(
    dir,
    'catalogue.csv',
    `instrument,scan,date,group\n${lines.join('')}${rows.map((row) => `${row}\n`).join('')}`,
  );
  const pipeline = await put(dir, 'survey.json', JSON.stringify({ kind: 'survey', title: 'A test', catalogue: 'catalogue.csv' }));
  return { dir, pipeline, catalogue };
}

const scanName = (i: number): string => `t-${String(i + 1).padStart(3, '0')}`;
