import { describe, expect, it } from 'vitest';
import { MEASURANDS } from '../../src/measurands/measurands.ts';
import { CAUTION } from '../../src/reports/cautions.ts';
import { HEADLINES } from '../../src/reports/headlines.ts';
import { instrumentPage } from '../../src/reports/instrument-page.ts';
import type { InstrumentScans } from '../../src/reports/survey-data.ts';
import { surveyPage } from '../../src/reports/survey-page.ts';
import { isFailed } from '../../src/records/record.ts';
import { misnested } from './misnested.ts';
import { modelSurvey } from './model-survey.ts';

const survey = modelSurvey();
const instrument = survey.instruments[0] as InstrumentScans;
const pages: readonly (readonly [string, string])[] = [
  ['survey', surveyPage(survey)],
  ...survey.instruments.map((i) => [`instrument ${i.instrument}`, instrumentPage(i, survey)] as const),
];

describe.each(pages)('the page of %s', (_, page) => {
  it('nests its tags, has one title, and each id once', () => {
    expect(misnested(page)).toBeUndefined();
    expect(page.match(/<h1>/g)).toHaveLength(1);
    const ids = [...page.matchAll(/ id="([^"]*)"/g)].map((match) => match[1]);
    expect(ids.filter((id, i) => ids.indexOf(id) !== i)).toEqual([]);
  });

  it('needs no network and no script', () => {
    expect(page).not.toMatch(/<script|<link|@import|url\(|\bon\w+=|src=/);
    expect(page.replace(/xmlns="[^"]*"/g, '')).not.toMatch(/https?:\/\//);
  });

  it('gives every table a caption and every heading cell its scope', () => {
    expect((page.match(/<table/g) ?? []).length).toBe((page.match(/<caption/g) ?? []).length);
    expect(page).not.toMatch(/<th(?![^>]*scope=)[\s>]/);
  });

  it('says of every drawing what it shows, and holds no number that is none', () => {
    for (const [tag] of page.matchAll(/<svg[^>]*>/g)) expect(tag).toMatch(/role="img" aria-label="[^"]+"/);
    expect(page).not.toMatch(/NaN|undefined|Infinity|\[object/);
  });

  it('repeats the cautions', () => {
    expect(page).toContain(CAUTION);
  });

  it('names every measurand in its glossary, with its id', () => {
    if (!page.includes('id="glossary"')) return expect(page).toContain('could not be measured');
    for (const { id } of MEASURANDS) expect(page).toContain(`<code>${id}</code>`);
  });
});

describe('the survey page', () => {
  const page = surveyPage(survey);

  it('has a row for every scan, with value and interval of each headline measure', () => {
    for (const { slug } of survey.instruments) expect(page).toContain(`href="instruments/${slug}.html"`);
    for (const id of HEADLINES) expect(page).toContain(`href="#term-${id}"`);
    expect(page).toContain('7.123 <span class="pm">± 0.016</span>');
    expect(page).toContain('not measured: ends early');
  });

  it('says in words what is not good, absent or out of range', () => {
    expect(page).toContain('<span class="tag fair">fair</span>');
    expect(page).toContain('▲ above limits');
    expect(page).toContain('▲ above intended');
  });
});

describe('the page of an instrument', () => {
  const page = instrumentPage(instrument, survey);

  it('has every measure with its budget, and what is absent with its reason', () => {
    const record = instrument.scans[0]?.record;
    if (record === undefined || isFailed(record)) throw new Error('the model is a measured one');
    for (const { id, title } of MEASURANDS) if (record.measures[id] !== undefined) expect(page).toContain(`<th scope="row">${title}</th>`);
    expect(page).toMatch(/long-wave error [0-9.]+ \(assumed\)/);
    expect(page).toContain('absent: the heel is not in the scan');
  });

  it('draws the dimensions that a maker takes', () => {
    for (const label of [
      'projection 27.346 ± 0.081 mm',
      'overstand 6.012 ± 0.061 mm',
      'neck angle 7.123 ± 0.016°',
      'board offset −0.420 ± 0.098 mm',
    ]) {
      expect(page).toContain(`>${label}</text>`);
    }
  });
});

it.each(['</script><img src=x onerror=alert(1)>', '"><svg onload=alert(1)>', "' onclick='x", '&lt;b&gt;', '$& $1 $`'])(
  'text from data stays text: %s',
  (text) => {
    const hostile = modelSurvey(text);
    for (const page of [surveyPage(hostile), instrumentPage(hostile.instruments[0] as InstrumentScans, hostile)]) {
      expect(page).not.toMatch(/<img|<svg onload|' onclick='/);
      expect(misnested(page)).toBeUndefined();
      const escaped = text
        .replaceAll('&', '&amp;')
        .replaceAll('<', '&lt;')
        .replaceAll('>', '&gt;')
        .replaceAll('"', '&quot;')
        .replaceAll("'", '&#39;');
      expect(page).toContain(escaped);
    }
  },
);
