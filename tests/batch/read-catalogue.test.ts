import { describe, expect, it } from 'vitest';
import { problemLine } from '../../src/batch/problem.ts';
import { type Catalogue, readCatalogue } from '../../src/batch/read-catalogue.ts';
import { emptyFolder, put } from '../cli/scan-files.ts';

async function read(content: string, name = 'catalogue.csv'): Promise<Catalogue & { lines: string[] }> {
  const dir = await emptyFolder();
  for (const scan of ['a.xyz', 'b.xyz', 'c.xyz']) await put(dir, scan, '0 0 0\n');
  const catalogue = await readCatalogue(await put(dir, name, content));
  return { ...catalogue, lines: catalogue.problems.map((problem) => problemLine(problem).slice(dir.length + 1)) };
}

const HEADER = 'instrument,scan,date,class,unit,stop,scaleU,noise,longWave,longWaveLength,bridgeHeight,stringsOn,baseline';

describe('catalogues that are in order', () => {
  it.each([
    ['comma', 'instrument,scan,date,stop\nh-1,a.xyz,2026-01-01,195.5\n'],
    ['semicolon with decimal commas', 'instrument;scan;date;stop\nh-1;a.xyz;2026-01-01;195,5\n'],
    ['tab', 'instrument\tscan\tdate\tstop\nh-1\ta.xyz\t2026-01-01\t195.5\n'],
    ['byte order mark and CRLF', '\ufeffinstrument,scan,date,stop\r\nh-1,a.xyz,2026-01-01,195.5\r\n'],
    [
      'quotes, a comma inside them, empty rows',
      '"instrument",scan,date,stop,"note, long"\n\nh-1,"a.xyz",2026-01-01,195.5,"one, two"\n,,,,\n',
    ],
    ['JSON', '[{"instrument": "h-1", "scan": "a.xyz", "date": "2026-01-01", "stop": 195.5}]'],
  ])('%s', async (_, content) => {
    const { entries, lines } = await read(content);
    expect(lines).toEqual([]);
    expect(entries).toHaveLength(1);
    expect(entries[0]?.row).toMatchObject({ instrument: 'h-1', scan: 'a.xyz', date: '2026-01-01', stop: 195.5 });
  });

  it('keeps unknown columns as they are', async () => {
    const { entries } = await read('instrument,scan,shelf mark\nh-1,a.xyz,007\n');
    expect(entries[0]?.row['shelf mark']).toBe('007');
  });

  it('takes the limits themselves', async () => {
    const { lines } = await read(`${HEADER}\nh-1,a.xyz,2026-01-01,viola,cm,0.1,0.01,5,0,0,0.1,yes,no\nh-2,b.xyz,,auto,auto,,0,0,,,,,\n`);
    expect(lines).toEqual([]);
  });
});

describe('catalogues that are not', () => {
  it.each([
    ['no scan column', 'instrument,date\nh-1,2026-01-01\n', ['catalogue.csv, row 1: has no column "scan"']],
    ['empty', '', ['catalogue.csv, row 1: has no column "instrument"', 'catalogue.csv, row 1: has no column "scan"']],
    ['header alone', 'instrument,scan\n', ['catalogue.csv: holds no scan']],
    ['a column twice', 'instrument,scan,scan\nh,a.xyz,b.xyz\n', ['row 1: names the column "scan" twice']],
    ['an empty identity', 'instrument,scan\n,a.xyz\n', ['row 2, column "instrument": is empty']],
    [
      'a date that is none',
      'instrument,scan,date\nh-1,a.xyz,2026-02-31\nh-2,b.xyz,3.4.2026\n',
      ['row 2, column "date": expected a date like 2026-01-31, found "2026-02-31"', 'row 3, column "date"'],
    ],
    [
      'a class of its own',
      'instrument,scan,class\nh-1,a.xyz,guitar\n',
      ['row 2, column "class": expected violin, viola, cello, bass or auto, found "guitar"'],
    ],
    ['a unit of its own', 'instrument,scan,unit\nh-1,a.xyz,inch\n', ['row 2, column "unit": expected mm, cm, m, in or auto, found "inch"']],
    ['text for a number', 'instrument,scan,stop\nh-1,a.xyz,long\n', ['row 2, column "stop": expected a number, found "long"']],
    ['a scale error in percent', 'instrument,scan,scaleU\nh-1,a.xyz,0.011\n', ['row 2, column "scaleU": expected 0.01 or less']],
    ['a negative scale error', 'instrument,scan,scaleU\nh-1,a.xyz,-0.001\n', ['row 2, column "scaleU": expected 0 or more, found -0.001']],
    ['noise above 5 mm', 'instrument,scan,noise\nh-1,a.xyz,5.1\n', ['row 2, column "noise": expected 5 mm or less']],
    ['negative noise', 'instrument,scan,noise\nh-1,a.xyz,-1\n', ['row 2, column "noise": expected 0 or more']],
    [
      'negative long-wave error',
      'instrument,scan,longWave,longWaveLength\nh-1,a.xyz,-1,-2\n',
      ['column "longWave"', 'column "longWaveLength"'],
    ],
    ['more cells than columns', 'instrument,scan\nh-1,a.xyz,more\n', ['row 2: has more cells than the header has columns ("more")']],
    ['the same scan twice', 'instrument,scan\nh-1,a.xyz\nh-2,./a.xyz\n', ['row 3, column "scan": the same scan as in row 2']],
    [
      'equal dates of one instrument',
      'instrument,scan,date\nh-1,a.xyz,2026-01-01\nh-1,b.xyz,2026-01-01\n',
      ['row 3, column "date": h-1 has the same date in row 2: 2026-01-01'],
    ],
    [
      'repeat scans without a date',
      'instrument,scan,date\nh-1,a.xyz,2026-01-01\nh-1,b.xyz,\n',
      ['row 3, column "date": is empty; h-1 has several scans'],
    ],
    [
      'two baselines',
      'instrument,scan,date,baseline\nh-1,a.xyz,2026-01-01,yes\nh-1,b.xyz,2026-01-02,yes\n',
      ['row 3, column "baseline": h-1 has its baseline in row 2'],
    ],
    [
      'yes and no in other words',
      'instrument,scan,stringsOn\nh-1,a.xyz,maybe\n',
      ['row 2, column "stringsOn": expected yes or no, found "maybe"'],
    ],
    ['a scan that is not there', 'instrument,scan\nh-1,z.xyz\n', ['row 2, column "scan": there is no file z.xyz']],
    ['a JSON object', '{"scans": []}', ['catalogue.csv: as JSON, a catalogue is a list of objects']],
    ['JSON cut off', '[{"instrument": ', ['catalogue.csv: is neither CSV nor JSON']],
    ['a quote that never ends', 'instrument,scan\n"h-1,a.xyz\n', ['catalogue.csv: is neither CSV nor JSON']],
  ])('%s', async (_, content, expected) => {
    const { lines } = await read(content);
    expect(lines).toHaveLength(expected.length);
    for (const [i, part] of expected.entries()) expect(lines[i]).toContain(part);
  });

  it('tells all problems at once, each with its row', async () => {
    const { lines, entries } = await read('instrument,scan,class,noise\nh-1,a.xyz,lute,9\nh-2,b.xyz,violin,0.1\n,c.xyz,,\n');
    expect(lines.map((line) => /row \d/.exec(line)?.[0])).toEqual(['row 2', 'row 2', 'row 4']);
    expect(entries.map(({ row }) => row.instrument)).toEqual(['h-2']);
  });

  it('names a file that cannot be read', async () => {
    const { problems } = await readCatalogue('no/such/catalogue.csv');
    expect(problems.map(problemLine)).toEqual(['no/such/catalogue.csv: cannot be read: ENOENT']);
  });
});
