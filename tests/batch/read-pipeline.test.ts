import { expect, it } from 'vitest';
import { problemLine } from '../../src/batch/problem.ts';
import { readPipeline } from '../../src/batch/read-pipeline.ts';
import { emptyFolder, put } from '../cli/scan-files.ts';

async function read(content: string) {
  const dir = await emptyFolder();
  for (const scan of ['a.xyz', 'b.xyz', 'c.xyz']) await put(dir, scan, '0 0 0\n');
  await put(dir, 'catalogue.csv', 'instrument,scan,group,stringsOn\nh-1,a.xyz,Early,yes\nh-2,b.xyz,Modern,no\nh-3,c.xyz,Modern,yes\n');
  const reading = await readPipeline(await put(dir, 'p-survey.json', content));
  return { ...reading, lines: reading.problems.map((problem) => problemLine(problem).slice(dir.length + 1)) };
}

const survey = (more: object): string => JSON.stringify({ kind: 'survey', title: 'T', catalogue: 'catalogue.csv', ...more });

it.each([
  ['all rows', {}, ['h-1', 'h-2', 'h-3']],
  ['one value', { select: { group: 'Modern' } }, ['h-2', 'h-3']],
  ['one of several, and another column', { select: { group: ['Modern', 'Early'], stringsOn: 'yes' } }, ['h-1', 'h-3']],
])('select leaves %s', async (_, more, expected) => {
  const { loaded, lines } = await read(survey(more));
  expect(lines).toEqual([]);
  expect(loaded?.entries.map(({ row }) => row.instrument)).toEqual(expected);
  expect(loaded?.name).toBe('p-survey');
});

it.each([
  [
    'a kind of a later version',
    '{"kind": "hand-off", "title": "T", "catalogue": "c"}',
    ['p-survey.json, key "kind": "hand-off" is not offered by this version yet'],
  ],
  ['an unknown kind', '{"kind": "poll", "title": "T", "catalogue": "c"}', ['key "kind": expected "survey"']],
  ['an unknown key', survey({ limts: {} }), ['p-survey.json, key "limts": is not known']],
  ['an unknown measurand', survey({ limits: { projektion: { min: 1 } } }), ['key "limits.projektion"']],
  [
    'a range the wrong way round',
    survey({ intended: { projection: { min: 3, max: 2 } } }),
    ['key "intended.projection": min is above max'],
  ],
  ['an empty range', survey({ intended: { projection: {} } }), ['key "intended.projection": needs min, max or both']],
  ['no catalogue', '{"kind": "survey", "title": "T"}', ['key "catalogue"']],
  ['a catalogue that is not there', survey({ catalogue: 'other.csv' }), ['other.csv: cannot be read: ENOENT']],
  ['an unknown column in select', survey({ select: { grp: 'x' } }), ['key "select.grp": no row of the catalogue has this column']],
  ['an unknown column in groupBy', survey({ groupBy: 'grp' }), ['key "groupBy": no row of the catalogue has the column "grp"']],
  ['a selection of nothing', survey({ select: { group: 'Late' } }), ['key "select": leaves no scan']],
  ['no JSON', 'kind: survey', ['p-survey.json: is not JSON']],
])('refused: %s', async (_, content, expected) => {
  const { lines } = await read(content);
  expect(lines).toHaveLength(expected.length);
  for (const [i, part] of expected.entries()) expect(lines[i]).toContain(part);
});
