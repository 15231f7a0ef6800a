import { chmod } from 'node:fs/promises';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { parseRecord } from '../../src/records/record-schema.ts';
import { POINTS_THAT_FAULT } from '../batch/model-measuring.ts';
import { runNecksight } from './run-necksight.ts';
import { cloudText, collection, emptyFolder, put } from './scan-files.ts';

describe('measure', () => {
  it('prints one record a line in the order given, and nothing else, on standard output', async () => {
    const dir = await emptyFolder();
    const scans = [];
    for (const count of [90, 3, 20, 45]) scans.push(await put(dir, `s${count}.xyz`, cloudText(count)));
    const { code, stdout, stderr } = await runNecksight(['measure', '--json', '--jobs', '2', ...scans]);
    expect(code).toBe(1);
    const records = stdout
      .trim()
      .split('\n')
      .map((line) => parseRecord(JSON.parse(line)));
    expect(records.map((record) => record?.scan)).toEqual(scans);
    expect(records.map((record) => record !== undefined && 'failed' in record)).toEqual([false, true, false, false]);
    expect(stderr).toContain('too few for an instrument (no-instrument)');
  });

  it('states class, unit, stop and bridge height in the settings, and nothing by default', async () => {
    const scan = await put(await emptyFolder(), 'a.xyz', cloudText(20));
    const stated = await runNecksight([
      'measure',
      '--json',
      '--class',
      'viola',
      '--unit',
      'cm',
      '--stop',
      '215.5',
      '--bridge-height',
      '33',
      scan,
    ]);
    expect(JSON.parse(stated.stdout).settings).toEqual({ class: 'viola', unit: 'cm', stop: 215.5, bridgeHeight: 33 });
    const bare = await runNecksight(['measure', '--json', scan]);
    expect(JSON.parse(bare.stdout).settings).toEqual({});
  });

  it('gives identical records for the same input, apart from the time', async () => {
    const scan = await put(await emptyFolder(), 'a.xyz', cloudText(20));
    const at = (iso: string) => runNecksight(['measure', '--json', scan], { now: () => new Date(iso) });
    const [one, two] = [await at('2026-01-01T00:00:00Z'), await at('2026-02-02T00:00:00Z')];
    expect(two.stdout).not.toBe(one.stdout);
    expect(two.stdout.replace('2026-02-02', '2026-01-01')).toBe(one.stdout);
  });

  it('is silent with --quiet, and speaks JSON with --log-format json', async () => {
    const dir = await emptyFolder();
    const scans = [await put(dir, 'a.xyz', cloudText(20)), await put(dir, 'b.xyz', cloudText(3))];
    const quiet = await runNecksight(['measure', '--quiet', ...scans]);
    expect(quiet.stderr.trim().split('\n')).toHaveLength(1);
    const json = await runNecksight(['measure', '--log-format', 'json', ...scans]);
    const levels = json.stderr
      .trim()
      .split('\n')
      .map((line) => (JSON.parse(line) as { level: string }).level);
    expect(new Set(levels)).toEqual(new Set(['info', 'error']));
  });

  it('names a fault of its own with 70, and where it came from with --stack', async () => {
    const scan = await put(await emptyFolder(), 'a.xyz', cloudText(POINTS_THAT_FAULT));
    const { code, stderr } = await runNecksight(['measure', scan]);
    expect(code).toBe(70);
    expect(stderr).toContain('planted fault');
    expect(stderr).not.toContain('model-measuring.ts');
    expect((await runNecksight(['measure', '--stack', scan])).stderr).toContain('model-measuring.ts');
  });
});

/** Section 9 of the demands: each is a record with its code, one line for people, and exit 1. */
describe('bad input', () => {
  const binaryStl = (promised: number, facets: number, value = 1): Buffer => {
    const bytes = Buffer.alloc(84 + 50 * facets);
    bytes.writeUInt32LE(promised, 80);
    for (let i = 0; i < facets; i++) for (let k = 0; k < 9; k++) bytes.writeFloatLE(value * (i + ((k * 5) % 7)), 84 + 50 * i + 12 + 4 * k);
    return bytes;
  };

  it.each([
    ['not a scan', 'notes.stl', 'These are notes about a violin.\n', 'not-a-scan'],
    ['0 bytes', 'empty.ply', '', 'not-a-scan'],
    ['truncated', 'cut.stl', binaryStl(100, 60), 'truncated'],
    [
      'a header that promises more than the file holds',
      'cut.ply',
      `ply\nformat ascii 1.0\nelement vertex 9\nproperty float x\nproperty float y\nproperty float z\nend_header\n0 0 0\n`,
      'truncated',
    ],
    ['coordinates that are no numbers', 'nan.stl', binaryStl(20, 20, Number.NaN), 'not-finite'],
    ['zero triangles', 'none.stl', binaryStl(0, 0), 'no-points'],
    ['gzip of what is no scan', 'x.stl.gz', gzipSync('no scan at all'), 'not-a-scan'],
  ])('%s', async (_, name, content, expected) => {
    const dir = await emptyFolder();
    const bad = await put(dir, name, content);
    const good = await put(dir, 'good.xyz', cloudText(20));
    const { code, stdout, stderr } = await runNecksight(['measure', '--json', bad, good]);
    expect(code).toBe(1);
    const [first, second] = stdout
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line));
    expect(first.failed.code).toBe(expected);
    expect(second).toHaveProperty('measures');
    expect(stderr.split('\n').filter((line) => line.startsWith('error:'))).toHaveLength(1);
  });

  it.each([
    ['missing', (dir: string) => join(dir, 'gone.stl')],
    ['a folder', (dir: string) => dir],
  ])('%s', async (_, path) => {
    const { code, stdout } = await runNecksight(['measure', '--json', path(await emptyFolder())]);
    expect(code).toBe(1);
    expect(JSON.parse(stdout).failed.code).toBe('unreadable');
  });

  it('unreadable', async () => {
    const scan = await put(await emptyFolder(), 'a.xyz', cloudText(20));
    await chmod(scan, 0o000);
    const { code, stdout } = await runNecksight(['measure', '--json', scan]);
    // Whoever may read everything (root) can read this too.
    const root = process.getuid?.() === 0;
    expect(code).toBe(root ? 0 : 1);
    expect(JSON.parse(stdout).failed?.code).toBe(root ? undefined : 'unreadable');
  });
});

describe('usage', () => {
  it.each([
    ['an unknown command', ['weigh', 'a.stl']],
    ['an unknown option', ['measure', '--fast', 'a.stl']],
    ['no scan', ['measure']],
    ['an unknown class', ['measure', '--class', 'guitar', 'a.stl']],
    ['an unknown unit', ['measure', '--unit', 'ft', 'a.stl']],
    ['a stop of nothing', ['measure', '--stop', '0', 'a.stl']],
    ['a stop that is text', ['measure', '--stop', 'long', 'a.stl']],
    ['half a worker', ['run', '--jobs', '0.5', 'a.json']],
    ['a pipeline that is not there', ['run', 'no-such-pipeline.json']],
    ['an unknown schema', ['schema', 'soup']],
    ['an unknown log format', ['measure', '--log-format', 'xml', 'a.stl']],
    ['a command of a later version', ['plan', 'record.json']],
  ])('%s is refused with 2', async (_, args) => {
    const { code, stdout, stderr } = await runNecksight(args);
    expect(code).toBe(2);
    expect(stdout).toBe('');
    expect(stderr).not.toBe('');
  });

  it('check: 0 in order, 2 with problems, each on its own line', async () => {
    const { pipeline, catalogue } = await collection([20, 30]);
    const good = await runNecksight(['check', pipeline, catalogue]);
    expect(good.code).toBe(0);
    expect(good.stdout).toContain('2 scans');
    const bad = await collection([20], ['x,scans/gone.xyz,never,']);
    const { code, stdout } = await runNecksight(['check', bad.catalogue]);
    expect(code).toBe(2);
    expect(stdout).toContain('row 3, column "date"');
    expect((await runNecksight(['check', 'no-such-file.csv'])).code).toBe(2);
  });
});

describe('inspect', () => {
  it('tells format, size, unit and what can be measured', async () => {
    const scan = await put(await emptyFolder(), 'a.xyz', cloudText(20));
    const { code, stdout } = await runNecksight(['inspect', scan]);
    expect(code).toBe(0);
    for (const word of ['format', 'points', 'extent', 'unit', 'noise', 'covered', 'can be measured', 'projection'])
      expect(stdout).toContain(word);
    const json = JSON.parse((await runNecksight(['inspect', '--json', scan])).stdout);
    expect(json).toMatchObject({ points: 20, triangles: 0, unit: { value: 'mm' }, sigma: 0.031 });
    expect(json.supported).toContain('neckAngle');
  });
});
