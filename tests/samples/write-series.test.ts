import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { readCatalogue } from '../../src/batch/read-catalogue.ts';
import { random } from '../../src/numerics/random.ts';
import { randomSpec } from '../../src/samples/instrument.ts';
import { drawStates, SERIES_KINDS } from '../../src/samples/series-kinds.ts';
import { writeSeries } from '../../src/samples/write-series.ts';

const dirs = [0, 1].map(() => mkdtempSync(join(tmpdir(), 'necksight-series-')));
/** Points this coarse show nothing of use, but are written fast; mm. */
const COARSE = 5;

beforeAll(async () => {
  for (const dir of dirs) await writeSeries(dir, { series: 'reset', dates: 3, spacing: COARSE, quality: 'clean' });
}, 120_000);
afterAll(() => {
  for (const dir of dirs) rmSync(dir, { recursive: true });
});

const truth = (i: number) => JSON.parse(readFileSync(join(dirs[0] as string, `truth-000${i}.json`), 'utf8'));

describe('a series of scans', () => {
  it('is the same bytes for the same options', () => {
    const [a, b] = dirs as [string, string];
    expect(readdirSync(a)).toEqual(readdirSync(b));
    for (const name of readdirSync(a)) expect(readFileSync(join(a, name)).equals(readFileSync(join(b, name))), name).toBe(true);
  });

  it('has a catalogue of one instrument with dates, scanner, humidity, strings and the event', async () => {
    const { entries, problems } = await readCatalogue(join(dirs[0] as string, 'catalogue.csv'));
    expect(problems).toEqual([]);
    expect(new Set(entries.map((e) => e.row.instrument)).size).toBe(1);
    expect(entries.map((e) => e.row.event)).toEqual([undefined, 'neck reset', undefined]);
    for (const { row } of entries)
      expect(row).toMatchObject({ scanner: 'scanner 1', scaleU: 2e-4, stringsOn: false, humidity: expect.any(Number) });
  });

  it('has the truth of the change against the first scan beside that of each scan', () => {
    expect(truth(0).changes).toBeUndefined();
    for (const i of [1, 2]) {
      const { baseline, changes, neckShift, differences, registration, station, values } = truth(i);
      expect(baseline).toBe('scan-0000.ply');
      expect(changes.neckPitch).toBeLessThan(-0.5);
      expect(changes.heelBend).toBeUndefined();
      expect(neckShift).toHaveLength(3);
      expect(registration).toHaveLength(16);
      expect(station).toBeCloseTo(truth(0).values.stop, 5);
      // In the baseline's datums: near the difference of two scans' own values, not equal to it.
      expect(differences.projection).toBeCloseTo(values.projection - truth(0).values.projection, 1);
      expect(changes.projectionByNeck + changes.projectionByBoard + changes.projectionByArch).toBeCloseTo(differences.projection, 5);
    }
  });
});

describe.each(SERIES_KINDS)('states of %s', (kind) => {
  const spec = randomSpec('violin', 'modern', random('states'));
  const dates = [0, 0.5, 1, 1.5, 2, 2.5].map((years, i) => ({ years, drier: i % 2 === 0 ? 0 : 15 }));
  const states = drawStates(kind, spec, 1, dates, random(kind));

  it('start with the instrument as it is', () => {
    const { neck, block, board, swell, recut } = states[0]?.change ?? expect.fail('no state');
    // A change of nothing may be −0.
    const sizes = [neck.root, neck.bend, neck.warp, neck.yaw, neck.roll, ...neck.shift, block, board.bent, swell];
    expect(sizes.map(Math.abs)).toEqual(sizes.map(() => 0));
    expect(recut).toBeUndefined();
  });

  it('name what was done, once, where something was', () => {
    const events = states.flatMap((s) => (s.event === undefined ? [] : [s.event]));
    expect(events).toEqual(kind === 'reset' ? ['neck reset'] : kind === 'new-board' ? ['new board'] : []);
  });
});
