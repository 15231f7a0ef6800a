import { describe, expect, it } from 'vitest';
import { runNecksight } from './run-necksight.ts';
import { cloudText, emptyFolder, put } from './scan-files.ts';

describe('compare', () => {
  it('asks for a second scan, and for another one than the first', async () => {
    const scan = await put(await emptyFolder(), 'a.xyz', cloudText(40));
    expect(await runNecksight(['compare', scan])).toMatchObject({ code: 2, stdout: '' });
    const twice = await runNecksight(['compare', scan, scan]);
    expect(twice).toMatchObject({ code: 2, stdout: '' });
    expect(twice.stderr).toContain('given as baseline and as later scan');
  });

  it('gives a failed record for each later scan where the baseline is no instrument, and names it', async () => {
    const dir = await emptyFolder();
    const [first, ...later] = await Promise.all(['a', 'b', 'c'].map((name, i) => put(dir, `${name}.xyz`, cloudText(40 + i))));
    const { code, stdout } = await runNecksight(['compare', '--json', first, ...later]);
    expect(code).toBe(1);
    const records = stdout
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line));
    expect(records.map((record) => record.scan)).toEqual(later);
    for (const record of records) {
      expect(record).toMatchObject({ baseline: first, failed: { code: 'no-instrument' } });
      expect(record.failed.message).toContain(`the baseline ${first} cannot be used`);
    }
  });
});
