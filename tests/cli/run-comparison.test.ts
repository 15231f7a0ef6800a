import { existsSync } from 'node:fs';
import { readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { COMPARISON, parseComparison } from '../../src/records/comparison-schema.ts';
import { RUN_FILE } from '../../src/records/run-file-schema.ts';
import { POINTS_OF_ANOTHER, POINTS_THAT_BREAK, POINTS_THAT_END } from '../batch/model-comparing.ts';
import { runNecksight } from './run-necksight.ts';
import { cloudText, emptyFolder, put } from './scan-files.ts';

interface Given {
  readonly instrument?: string;
  readonly date: string;
  readonly points: number;
  readonly more?: string;
}

const COLUMNS = 'instrument,scan,date,event,baseline,humidity';

/** Scans with a catalogue and a pipeline; points decide what becomes of each. */
async function given(kind: 'before-after' | 'tracking', scans: readonly Given[], more: object = {}) {
  const dir = await emptyFolder();
  for (const [i, { points }] of scans.entries()) await put(dir, `s${i}.xyz`, cloudText(points));
  const rows = scans.map(({ instrument = 'h', date, more: rest = ',,' }, i) => `${instrument},s${i}.xyz,${date},${rest}`);
  const catalogue = await put(dir, 'catalogue.csv', `${[COLUMNS, ...rows].join('\n')}\n`);
  const pipeline = await put(dir, `p-${kind}.json`, JSON.stringify({ kind, title: 'A test', catalogue: 'catalogue.csv', ...more }));
  const out = join(dir, 'report');
  const run = (options: Parameters<typeof runNecksight>[1] = {}, jobs = 2) =>
    runNecksight(['run', pipeline, '--out', out, '--jobs', String(jobs)], options);
  const file = (name: string) => readFile(join(out, name), 'utf8');
  return { dir, catalogue, out, run, file };
}

/** 0.1 mm a year. */
const SINKING: readonly Given[] = [2018, 2019, 2020, 2021, 2022].map((year, i) => ({ date: `${year}-05-01`, points: 40 + 10 * i }));
const counts = async (file: (name: string) => Promise<string>) => JSON.parse(await file('run.json')).scans;

describe('tracking', () => {
  it('holds every later scan against the first, and writes page, changes, records and what ran', async () => {
    const { run, file, out } = await given('tracking', SINKING, { limits: { projection: { min: 26.9 } } });
    const { code, stdout, stderr } = await run();
    expect({ code, stderr: stderr.match(/failed|fault/) }).toEqual({ code: 0, stderr: null });
    expect(stdout).toMatch(/h: −0\.1\d* ± 0\.0\d* mm a year over 5 dates, REAL;\s+limit of 26\.9 mm/);
    const rows = (await file('changes.csv')).trim().split('\n');
    expect(rows).toHaveLength(5);
    expect(rows[4]).toMatch(/^h,2022-05-01,s4\.xyz,s0\.xyz,/);
    expect((await file('measurements.csv')).trim().split('\n')).toHaveLength(6);
    expect((await readdir(join(out, 'records'))).sort()).toEqual([2018, 2019, 2020, 2021, 2022].map((y) => `h-${y}-05-01.json`));
    const pair = parseComparison(JSON.parse(await file('records/h-2020-05-01.json')));
    expect(pair).toMatchObject({ baseline: 's0.xyz', differences: { projection: { value: -0.2 } } });
    expect(RUN_FILE.safeParse(JSON.parse(await file('run.json'))).success).toBe(true);
    const page = await file('index.html');
    expect(page).toContain('One instrument has one test each, the trend of projection');
    expect(page).toContain('<strong>yes</strong>');
  });

  it('leaves out and names scans that fail, the first one too, and goes on: exit 1', async () => {
    const scans = SINKING.map((scan, i) => ({ ...scan, points: i === 0 ? 3 : i === 2 ? POINTS_OF_ANOTHER : scan.points }));
    const { run, file } = await given('tracking', scans);
    const { code, stderr, stdout } = await run();
    expect(code).toBe(1);
    expect(stderr).toContain('s0.xyz: holds 3 points, too few for an instrument (no-instrument)');
    expect(stderr).toContain('s2.xyz: the bodies do not match (different-body)');
    expect(stdout).toContain('no trend: 3 dates since the last break');
    expect(JSON.parse(await file('records/h-2021-05-01.json'))).toMatchObject({ baseline: 's1.xyz' });
    const page = await file('index.html');
    for (const code of ['no-instrument', 'different-body']) expect(page).toContain(`<code>${code}</code>`);
    expect(await counts(file)).toMatchObject({ asked: 5, failed: 2 });
  });

  it('redoes only what changed; another baseline redoes all of its instrument', async () => {
    const { run, file, dir, catalogue } = await given('tracking', SINKING);
    await run();
    const before = await file('records/h-2020-05-01.json');
    await run();
    expect(await counts(file)).toMatchObject({ measured: 0, reused: 5 });
    expect(await file('records/h-2020-05-01.json')).toBe(before);
    await put(dir, 's3.xyz', cloudText(75));
    await run();
    expect(await counts(file), 'other bytes of one scan').toMatchObject({ measured: 1, reused: 4 });
    await put(dir, 's0.xyz', cloudText(41));
    await run();
    expect(await counts(file), 'other bytes of the baseline').toMatchObject({ measured: 5, reused: 0 });
    await writeFile(catalogue, (await readFile(catalogue, 'utf8')).replace('2019-05-01,,', '2019-05-01,,yes'));
    await run();
    expect(await counts(file), 'another baseline').toMatchObject({ measured: 5, reused: 0 });
    expect(JSON.parse(await file('records/h-2018-05-01.json'))).toMatchObject({
      baseline: 's1.xyz',
      differences: { projection: { value: 0.09 } },
    });
  });

  it('keeps what is finished when it is interrupted', async () => {
    const other = SINKING.map((scan) => ({ ...scan, instrument: 'k' }));
    const { run, file, out } = await given('tracking', [...SINKING, ...other]);
    const interrupt = new AbortController();
    const onStderr = (text: string) => {
      if (text.includes('7/10')) interrupt.abort();
    };
    // One at a time, so that it is known which instrument is done by then.
    expect((await run({ signal: interrupt.signal, onStderr }, 1)).code).toBe(130);
    expect(existsSync(join(out, 'index.html'))).toBe(false);
    expect((await run()).code).toBe(0);
    expect(await counts(file)).toMatchObject({ reused: 5, measured: 5 });
  });

  it('says the same however many workers it has', async () => {
    const other = SINKING.map((scan) => ({ ...scan, instrument: 'k', points: scan.points + 5 }));
    const { run, file, out } = await given('tracking', [...SINKING, ...other]);
    const said = [];
    for (const jobs of [1, 4]) {
      await run({}, jobs);
      // Without what tells when and how it ran.
      const { scans, inputs } = JSON.parse(await file('run.json'));
      said.push({ changes: await file('changes.csv'), scans, inputs });
      await rm(out, { recursive: true });
    }
    expect(said[1]).toEqual(said[0]);
  });

  it('loses no more than one pair where a worker process ends: exit 1', async () => {
    const { run, file } = await given(
      'tracking',
      SINKING.map((scan, i) => (i === 2 ? { ...scan, points: POINTS_THAT_END } : scan)),
    );
    const { code, stderr } = await run();
    expect(code).toBe(1);
    expect(stderr).toContain('s2.xyz: the worker that was reading it ended by code 3');
    expect(await counts(file)).toMatchObject({ asked: 5, failed: 1 });
    expect(JSON.parse(await file('records/h-2021-05-01.json'))).toMatchObject({ differences: { projection: { value: -0.3 } } });
  });

  it('ends with 70 where the fault is its own, after all other scans', async () => {
    const { run, file } = await given(
      'tracking',
      SINKING.map((scan, i) => (i === 1 ? { ...scan, points: POINTS_THAT_BREAK } : scan)),
    );
    expect((await run()).code).toBe(70);
    expect(await counts(file)).toMatchObject({ asked: 5, failed: 1 });
  });
});

describe('before and after', () => {
  it('compares the scans on both sides of the event and shows them against what was intended', async () => {
    const scans = SINKING.slice(0, 3).map((scan, i) => (i === 2 ? { ...scan, more: 'neck reset,,' } : scan));
    const { run, file } = await given('before-after', scans, { intended: { projection: { min: 26, max: 28 }, heelBow: { max: 1 } } });
    const { code, stdout } = await run();
    expect(code).toBe(0);
    expect(stdout).toMatch(/s2\.xyz against s1\.xyz/);
    expect((await file('changes.csv')).trim().split('\n')).toHaveLength(2);
    const page = await file('index.html');
    expect(page).toContain('in between: neck reset');
    expect(page).toContain('<td>26 to 28</td><td>yes</td>');
    expect(page).toContain('not known: the heel is not in the scan');
  });

  it('says so where one of the two cannot be used, and names instruments with one scan: exit 1', async () => {
    const scans = [...SINKING.slice(0, 1), { date: '2020', points: 3 }, { instrument: 'k', date: '2020', points: 50 }];
    const { run, file } = await given('before-after', scans);
    const { code, stderr } = await run();
    expect(code).toBe(1);
    expect(stderr).toContain('k has one scan only');
    const page = await file('index.html');
    expect(page).toContain('no two scans that can be compared');
    expect(page).toContain('nothing yet to compare them with: k');
  });
});

it('is refused where no instrument has two dates: exit 2, nothing written', async () => {
  const { run, out } = await given('tracking', SINKING.slice(0, 1));
  const { code, stderr } = await run();
  expect(code).toBe(2);
  expect(stderr).toContain('key "catalogue": leaves no instrument with scans of two dates');
  expect(existsSync(out)).toBe(false);
});

it('the schema that is printed is the one of stored pairs', async () => {
  const { stdout } = await runNecksight(['schema', 'comparison']);
  expect(stdout).toContain('"neckPitch"');
  expect(COMPARISON.safeParse({}).success).toBe(false);
});
