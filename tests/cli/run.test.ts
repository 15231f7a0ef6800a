import { existsSync } from 'node:fs';
import { readdir, readFile, rm, stat, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { ScanRecord } from '../../src/records/record.ts';
import { POINTS_THAT_EXHAUST, POINTS_THAT_EXIT, POINTS_THAT_FAULT } from '../batch/model-measuring.ts';
import { runNecksight } from './run-necksight.ts';
import { cloudText, collection, emptyFolder, put } from './scan-files.ts';

const recordsOf = async (out: string): Promise<ScanRecord[]> => JSON.parse(await readFile(join(out, 'measurements.json'), 'utf8'));
const withoutTime = (json: string): string => json.replace(/"measuredAt":"[^"]*"/g, '"measuredAt":""');

/** All files below a folder with their content, the time of measuring taken out of them. */
async function contents(dir: string): Promise<Map<string, string>> {
  const names = (await readdir(dir, { recursive: true })).sort();
  const found = new Map<string, string>();
  for (const name of names)
    if ((await stat(join(dir, name))).isFile()) found.set(name, withoutTime(await readFile(join(dir, name), 'utf8')));
  return found;
}

describe('a survey', () => {
  it('with one broken scan among ten: nine records, one refusal, exit 1', async () => {
    const { dir, pipeline } = await collection([20, 21, 22, 23, 3, 25, 26, 27, 28, 29]);
    const out = join(dir, 'report');
    const { code, stdout, stderr } = await runNecksight(['run', pipeline, '--out', out]);
    expect(code).toBe(1);
    const records = await recordsOf(out);
    expect(records.filter((record) => 'measures' in record)).toHaveLength(9);
    expect(records.filter((record) => 'failed' in record)).toMatchObject([{ scan: 'scans/t-005.xyz', failed: { code: 'no-instrument' } }]);
    expect(records.map(({ instrument }) => instrument)).toEqual([...records].map(({ instrument }) => instrument).sort());
    expect(stderr).toMatch(/t-005\.xyz: holds 3 points, too few for an instrument \(no-instrument\)/);
    expect(stdout).toContain(join(out, 'index.html'));
    const rows = (await readFile(join(out, 'measurements.csv'), 'utf8')).trim().split('\n');
    expect(rows).toHaveLength(11);
    for (const name of [
      'index.html',
      'run.json',
      'measurements.csv-metadata.json',
      'records/t-001.json',
      'figures/t-001.json',
      'instruments/t-005.html',
    ]) {
      expect(existsSync(join(out, name)), name).toBe(true);
    }
  });

  it('gives the same bytes whatever the number of workers, apart from the time', async () => {
    const { dir, pipeline } = await collection([20, 31, 42, 3, 53]);
    await runNecksight(['run', pipeline, '--jobs', '1', '--out', join(dir, 'one')]);
    await runNecksight(['run', pipeline, '--jobs', '3', '--out', join(dir, 'three')]);
    const [one, three] = [await contents(join(dir, 'one')), await contents(join(dir, 'three'))];
    expect([...three.keys()]).toEqual([...one.keys()]);
    for (const [name, content] of one) if (/^(?:records|figures)|measurements/.test(name)) expect(three.get(name), name).toBe(content);
  });

  it('redoes only what changed, and a record that is kept stays the same byte for byte', async () => {
    const { dir, pipeline, catalogue } = await collection([20, 31, 42, 3]);
    const out = join(dir, 'report');
    const run = async (): Promise<{ measured: number; reused: number }> => {
      await runNecksight(['run', pipeline, '--out', out]);
      return JSON.parse(await readFile(join(out, 'run.json'), 'utf8')).scans;
    };
    expect(await run()).toMatchObject({ measured: 4, reused: 0 });
    const before = await readFile(join(out, 'records/t-001.json'), 'utf8');
    expect(await run()).toMatchObject({ measured: 0, reused: 4 });
    expect(await readFile(join(out, 'records/t-001.json'), 'utf8')).toBe(before);

    await writeFile(join(dir, 'scans/t-002.xyz'), cloudText(33));
    expect(await run(), 'other bytes').toMatchObject({ measured: 1, reused: 3 });

    const rows = await readFile(catalogue, 'utf8');
    await writeFile(catalogue, rows.replace('group', 'group,stop').replace('Early', 'Early,196'));
    expect(await run(), 'another setting').toMatchObject({ measured: 1, reused: 3 });

    await writeFile(catalogue, (await readFile(catalogue, 'utf8')).replace('stop', 'stop,label').replace('196', '196,Wren'));
    expect(await run(), 'another label').toMatchObject({ measured: 0, reused: 4 });
    expect((await recordsOf(out))[0]?.catalogue).toEqual({ group: 'Early', label: 'Wren' });

    await rm(join(out, 'figures/t-003.json'));
    expect(await run(), 'figures lost').toMatchObject({ measured: 1, reused: 3 });
    await writeFile(join(out, 'records/t-003.json'), '{"record": 1, "sc');
    expect(await run(), 'record cut off').toMatchObject({ measured: 1, reused: 3 });
  });

  it('takes away what an earlier run left of scans that are no longer asked for', async () => {
    const { dir, pipeline, catalogue } = await collection([20, 31]);
    const out = join(dir, 'report');
    await runNecksight(['run', pipeline, '--out', out]);
    await writeFile(catalogue, (await readFile(catalogue, 'utf8')).split('\n').slice(0, 2).join('\n'));
    await runNecksight(['run', pipeline, '--out', out]);
    expect(await readdir(join(out, 'records'))).toEqual(['t-001.json']);
    expect(await readdir(join(out, 'figures'))).toEqual(['t-001.json']);
    expect(await readdir(join(out, 'instruments'))).toEqual(['t-001.html']);
  });

  it('that is interrupted keeps what is finished, and the next run goes on from there', async () => {
    const { dir, pipeline } = await collection([20, 31, 42, 53, 64]);
    const out = join(dir, 'report');
    const interrupt = new AbortController();
    const first = await runNecksight(['run', pipeline, '--jobs', '1', '--out', out], {
      signal: interrupt.signal,
      onStderr: (text) => {
        if (text.startsWith('2/5')) interrupt.abort();
      },
    });
    expect(first.code).toBe(130);
    expect(first.stderr).toContain('interrupted');
    const kept = await readdir(join(out, 'records'));
    expect(kept.length).toBeGreaterThanOrEqual(2);
    expect(kept.length).toBeLessThan(5);
    for (const name of kept) expect(JSON.parse(await readFile(join(out, 'records', name), 'utf8')), name).toHaveProperty('measures');
    expect(existsSync(join(out, 'index.html'))).toBe(false);
    const second = await runNecksight(['run', pipeline, '--out', out]);
    expect(second.code).toBe(0);
    expect(JSON.parse(await readFile(join(out, 'run.json'), 'utf8')).scans).toMatchObject({
      reused: kept.length,
      measured: 5 - kept.length,
    });
  });

  it('loses only the scan whose worker ends or runs out of memory', async () => {
    const { dir, pipeline } = await collection([20, POINTS_THAT_EXIT, POINTS_THAT_EXHAUST, 23]);
    const { code } = await runNecksight(['run', pipeline, '--jobs', '2', '--out', join(dir, 'report')]);
    expect(code).toBe(1);
    const records = await recordsOf(join(dir, 'report'));
    expect(records.map((record) => ('failed' in record ? record.failed.code : 'measured'))).toEqual([
      'measured',
      'unreadable',
      'too-large',
      'measured',
    ]);
  });

  it('ends with 70 where the fault is its own, after all other scans; --stack shows where', async () => {
    const { dir, pipeline } = await collection([20, POINTS_THAT_FAULT, 23]);
    const { code, stderr } = await runNecksight(['run', pipeline, '--stack', '--out', join(dir, 'report')]);
    expect(code).toBe(70);
    expect(stderr).toContain('planted fault');
    expect(stderr).toContain('model-measuring.ts');
    expect((await recordsOf(join(dir, 'report'))).filter((record) => 'measures' in record)).toHaveLength(2);
  });

  it('goes on without a scan that is missing or a folder: exit 1', async () => {
    const { dir, pipeline } = await collection([20], ['gone,scans/gone.stl,,', 'folder,scans,,']);
    const { code } = await runNecksight(['run', pipeline, '--out', join(dir, 'report')]);
    expect(code).toBe(1);
    expect((await recordsOf(join(dir, 'report'))).map((record) => 'failed' in record)).toEqual([false, true, true]);
  });
});

describe('hostile names', () => {
  it('stay text in pages, harmless in spreadsheets, and inside the report folder', async () => {
    const { dir, pipeline } = await collection([20], []);
    await put(dir, 'a.xyz', cloudText(31));
    await put(dir, 'b.xyz', cloudText(42));
    await put(dir, 'c.xyz', cloudText(53));
    await put(
      dir,
      'catalogue.csv',
      `instrument,scan,label\n../../x,a.xyz,\n=1+1,b.xyz,@SUM(A1)\n"</script><img src=x onerror=""alert(1)"">",c.xyz,\n`,
    );
    const out = join(dir, 'report');
    expect((await runNecksight(['run', pipeline, '--out', out])).code).toBe(0);
    expect(await readdir(join(out, 'instruments'))).toEqual(['1-1.html', 'script-img-src-x-onerror-alert-1.html', 'x.html']);
    expect((await readdir(dir)).sort()).toEqual(['a.xyz', 'b.xyz', 'c.xyz', 'catalogue.csv', 'report', 'scans', 'survey.json']);
    for (const [name, content] of await contents(out)) if (name.endsWith('.html')) expect(content, name).not.toMatch(/<img|<\/script>/);
    const csv = await readFile(join(out, 'measurements.csv'), 'utf8');
    expect(csv).toMatch(/^'=1\+1,/m);
    expect(csv).toMatch(/'@SUM\(A1\)/);
    expect(csv).not.toMatch(/(?:^|,)"?[=@]/m);
  });
});

describe('what cannot be started', () => {
  it('a catalogue with problems: all are told, nothing is written, exit 2', async () => {
    const { dir, pipeline } = await collection([20], ['t-002,scans/t-001.xyz,yesterday,']);
    const out = join(dir, 'report');
    const { code, stderr } = await runNecksight(['run', pipeline, '--out', out]);
    expect(code).toBe(2);
    expect(stderr).toContain('row 3, column "date"');
    expect(existsSync(out)).toBe(false);
  });

  it('a report would be written over other files', async () => {
    const { dir, pipeline } = await collection([20]);
    const out = await emptyFolder();
    await put(out, 'index.html', 'mine');
    const { code, stderr } = await runNecksight(['run', pipeline, '--out', out]);
    expect(code).toBe(2);
    expect(stderr).toContain('holds no report');
    expect(await readFile(join(out, 'index.html'), 'utf8')).toBe('mine');
    expect((await runNecksight(['run', pipeline, '--out', join(dir, 'survey.json')])).code).toBe(2);
  });

  it('two pipelines for one folder', async () => {
    const { pipeline } = await collection([20]);
    expect((await runNecksight(['run', pipeline, pipeline])).code).toBe(2);
  });
});
