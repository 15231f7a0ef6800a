import { type ChildProcess, execFile, spawn } from 'node:child_process';
import { once } from 'node:events';
import { readdir, readFile, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { nodeVersionProblem } from '../../src/cli/node-version.ts';
import { cloudText, collection, put } from './scan-files.ts';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));
/** Inside the project, so that packages are found from there. */
const OUT = `node_modules/.necksight-test/bundle-${process.pid}`;
const NECKSIGHT = join(ROOT, OUT, 'necksight.js');

const start = (...args: readonly string[]): ChildProcess =>
  spawn(process.execPath, [NECKSIGHT, ...args], { stdio: ['ignore', 'pipe', 'pipe'] });

async function finish(child: ChildProcess): Promise<{ code: number; stdout: string; stderr: string }> {
  const text = { stdout: '', stderr: '' };
  child.stdout?.on('data', (part) => {
    text.stdout += part;
  });
  child.stderr?.on('data', (part) => {
    text.stderr += part;
  });
  const [code] = await once(child, 'close');
  return { code, ...text };
}

describe('the program as it is built', () => {
  beforeAll(async () => {
    await promisify(execFile)(process.execPath, ['.tools/build.mjs', OUT], { cwd: ROOT });
  });
  afterAll(() => rm(join(ROOT, OUT), { recursive: true, force: true }));

  it('starts, and finds its worker processes', async () => {
    const { version } = JSON.parse(await readFile(join(ROOT, 'package.json'), 'utf8'));
    expect(await finish(start('--version'))).toEqual({ code: 0, stdout: `${version}\n`, stderr: '' });
    const { dir, pipeline } = await collection([3, 4]);
    const { code } = await finish(start('run', pipeline, '--out', join(dir, 'report')));
    expect(code).toBe(1);
    const records = JSON.parse(await readFile(join(dir, 'report/measurements.json'), 'utf8')) as {
      failed: { code: string };
      software: { build: string };
    }[];
    expect(records.map(({ failed }) => failed.code)).toEqual(['no-instrument', 'no-instrument']);
    expect(records[0]?.software.build).toMatch(/^[0-9a-f]{12}$/);
  });

  it('interrupted by Ctrl-C ends with 130 and keeps whole records', async () => {
    const { dir, pipeline } = await collection(Array.from({ length: 60 }, (_, i) => 3 + i));
    const out = join(dir, 'report');
    const child = start('run', pipeline, '--jobs', '1', '--out', out);
    const finished = finish(child);
    child.stderr?.on('data', (text: Buffer) => {
      if (/^error: +2\/60/m.test(String(text))) child.kill('SIGINT');
    });
    const { code, stderr } = await finished;
    expect(code, stderr).toBe(130);
    const names = await readdir(join(out, 'records'));
    expect(names.length).toBeLessThan(60);
    for (const name of names) expect(JSON.parse(await readFile(join(out, 'records', name), 'utf8')), name).toHaveProperty('failed');
  });

  it.each([
    ['a cube', (i: number, k: number) => [i, k, 0, i, k, 40, i, 0, k, i, 40, k, 0, i, k, 40, i, k]],
    [
      'a ball',
      (i: number, k: number) => [
        20 * Math.sin(i / 13) * Math.cos(k / 6.4),
        20 * Math.sin(i / 13) * Math.sin(k / 6.4),
        20 * Math.cos(i / 13),
      ],
    ],
    ['a sheet with waves', (i: number, k: number) => [9 * i, 4 * k, 12 * Math.sin(i / 5) * Math.cos(k / 7)]],
    ['dust', (i: number, k: number) => [(i * 7919 + k * 104729) % 353, (i * 6151 + k * 3571) % 211, (i * 2221 + k * 9941) % 97]],
  ])('refuses %s: no-instrument, exit 1', async (_, points) => {
    const { dir } = await collection([]);
    const lines: string[] = [];
    for (let i = 0; i <= 40; i++) {
      for (let k = 0; k <= 40; k++) {
        const xyz = points(i, k);
        for (let p = 0; p < xyz.length; p += 3) lines.push(xyz.slice(p, p + 3).join(' '));
      }
    }
    const { code, stdout } = await finish(start('measure', '--json', '--quiet', await put(dir, 'shape.xyz', lines.join('\n'))));
    expect(JSON.parse(stdout)).toMatchObject({ failed: { code: 'no-instrument' } });
    expect(code).toBe(1);
  });

  it('is no failure where a reader has seen enough', async () => {
    const { dir } = await collection([]);
    const scans = await Promise.all(Array.from({ length: 8 }, (_, i) => put(dir, `${i}.xyz`, cloudText(3))));
    const child = start('measure', '--json', '--quiet', ...scans);
    child.stdout?.once('data', () => child.stdout?.destroy());
    const { code, stderr } = await finish(child);
    expect([0, 1]).toContain(code);
    expect(stderr).not.toContain('EPIPE');
  });
});

it.each([
  ['20.18.3', false],
  ['18.20.0', false],
  ['20.19.0', true],
  ['22.0.0', true],
])('Node %s is enough: %s', (version, enough) => {
  expect(nodeVersionProblem(version) === undefined).toBe(enough);
  if (!enough) expect(nodeVersionProblem(version)).toContain(version);
});
