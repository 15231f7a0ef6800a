import { describe, expect, it } from 'vitest';
import { trackSeries } from '../../src/batch/track-series.ts';
import { CHANGES } from '../../src/measurands/changes.ts';
import { beforeAfterPage } from '../../src/reports/before-after-page.ts';
import { CAUTION, STRINGS_CAUTION } from '../../src/reports/cautions.ts';
import type { ComparedSeries, ComparisonData } from '../../src/reports/comparison-data.ts';
import { trackingPage } from '../../src/reports/tracking-page.ts';
import { modelComparison, modelFailedComparison } from '../records/model-comparison.ts';
import { modelFailure, modelRecord } from '../records/model-record.ts';
import { misnested } from './misnested.ts';
import { modelSurvey } from './model-survey.ts';

/** One instrument that sank and one of which nothing could be used; `name` is what everything is called. */
function model(name = 'h-001', projections: readonly number[] = [-0.1, -0.2, -0.3, -0.4]): ComparisonData {
  const subject = (i: number) => ({
    instrument: name,
    scan: `${name}.ply`,
    date: `${2015 + i}-07-02`,
    catalogue: { label: name, humidity: String(40 + 10 * (i % 2)), stringsOn: i === 1 ? 'no' : 'yes', event: i === 1 ? name : 'cleaned' },
  });
  const sank: ComparedSeries = {
    instrument: name,
    baseline: modelRecord(subject(0)),
    comparisons: [
      ...projections.map((projection, i) => modelComparison({ projection }, subject(i + 1), name)),
      modelFailedComparison({ scan: name }),
    ],
    unusable: [],
  };
  const lost: ComparedSeries = { instrument: 'h-002', comparisons: [], unusable: [modelFailure()] };
  const { run, title } = modelSurvey();
  return {
    title,
    limits: { projection: { min: 26.8 } },
    intended: { projection: { min: 26, max: 27 } },
    series: [sank, lost],
    single: [name],
    run,
  };
}

const before = (data: ComparisonData): string => beforeAfterPage({ ...data, series: data.series });
const tracking = (data: ComparisonData): string => trackingPage({ ...data, series: trackSeries(data.series, data.limits) });

describe.each([
  ['before and after', before],
  ['tracking', tracking],
])('the page of %s', (_, render) => {
  const page = render(model());

  it('nests its tags, needs no network and no script, and holds no number that is none', () => {
    expect(misnested(page)).toBeUndefined();
    const ids = [...page.matchAll(/ id="([^"]*)"/g)].map((match) => match[1]);
    expect(ids.filter((id, i) => ids.indexOf(id) !== i)).toEqual([]);
    expect(page).not.toMatch(/<script|<link|@import|url\(|\bon\w+=|src=|https?:\/\//);
    expect(page).not.toMatch(/NaN|undefined|Infinity|\[object/);
    expect((page.match(/<table/g) ?? []).length).toBe((page.match(/<caption/g) ?? []).length);
    expect(page).not.toMatch(/<th(?![^>]*scope=)[\s>]/);
  });

  it('says what moved, by how much, whether it is real and what would have been found', () => {
    expect(page).toMatch(
      /<th scope="row">Projection<\/th><td class="number">−0\.\d+ <span class="pm">± 0\.098<\/span><\/td><td>mm<\/td><td>/,
    );
    expect(page).toContain('Smallest shown');
    for (const { title } of CHANGES) expect(page).toContain(`<th scope="row">${title}`);
  });

  it('gives absences with reasons, notes, what is left out, and the cautions for scanning and strings', () => {
    expect(page).toContain('absent: the heel is not seen in the baseline');
    expect(page).toContain('the board looks as it did');
    expect(page).toContain('the strings were on in one scan and off in the other');
    expect(page).toContain('40 % RH in the baseline and 50 % RH later');
    expect(page).toContain('<code>truncated</code>');
    expect(page).toContain('There are no two scans that can be compared');
    expect(page).toContain(CAUTION);
    expect(page).toContain(STRINGS_CAUTION);
  });

  it.each(['</script><img src=x onerror=alert(1)>', '"><svg onload=alert(1)>', "' onclick='x"])(
    'keeps text from data as text: %s',
    (text) => {
      const hostile = render(model(text));
      expect(hostile).not.toMatch(/<img|<svg onload|' onclick='/);
      expect(misnested(hostile)).toBeUndefined();
    },
  );
});

it('before and after tells of a value on the edge that it cannot be told', () => {
  const data = model();
  expect(before(data)).toContain('<td>26 to 27</td><td>no, it is above</td>');
  expect(before({ ...data, intended: { projection: { max: 27.3 } } })).toContain('cannot be told');
});

it('tracking gives each note once, with its dates', () => {
  const page = tracking(model());
  expect(page).toContain('<li>all dates: the board looks as it did</li>');
  expect(page).toContain('<li>2016-07-02: the strings were on in one scan and off in the other');
});

it('what is not among the headline changes is not counted with them', () => {
  expect(before(model('h-001', [-0.5]))).toMatch(/<th scope="row">Projection, by the neck<\/th>.*<td>by its own test<\/td>/);
});

it('a pair at rest is called so, with the change that would have been found', () => {
  expect(before(model('h-001', [0.01]))).toMatch(
    /No change that is more than these scans can tell apart\. A change of projection of 0\.\d+ mm would have been found/,
  );
});

it('tracking says how false alarms are controlled, and when the limit is reached', () => {
  const page = tracking(model());
  expect(page).toContain('One instrument has one test each, the trend of projection. They are judged together (Benjamini–Hochberg)');
  expect(page).toMatch(/about 2020-\d\d \(20\d\d-\d\d to 20\d\d-\d\d\)/);
  expect(tracking(model('h-001', [-0.1]))).toContain('none is tested');
});
