import { appendFileSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { entryOf, GROUPS, MODELS, studyPlan } from './plan.ts';
import { planHash, ResultsFile, type StoredResult } from './results-file.ts';

const [group] = GROUPS;
const entry = entryOf(group, 'a', 3);
const result = (sources: string): StoredResult => ({
  key: entry.key,
  plan: planHash(entry),
  sources,
  group: entry.group,
  model: entry.model,
  points: 1,
  triangles: 0,
  seconds: { make: 0, read: 0, measure: 0 },
  bodyLength: 355,
  mistaken: [],
  scores: [],
});

describe('results on disk', () => {
  let folder: string;
  let path: string;
  beforeEach(() => {
    folder = mkdtempSync(join(tmpdir(), 'necksight-results-'));
    path = join(folder, 'deep', 'results.jsonl');
  });
  afterEach(() => rmSync(folder, { recursive: true, force: true }));

  it('are found again, the newest of an entry', () => {
    const file = new ResultsFile(path);
    file.add(result('old'));
    file.add(result('new'));
    expect(new ResultsFile(path).find(entry)?.sources).toBe('new');
    expect(new ResultsFile(path).find(entryOf(group, 'b', 3))).toBeUndefined();
  });

  it('survive a line that was cut off: it is dropped, and what comes next is whole', () => {
    new ResultsFile(path).add(result('first'));
    appendFileSync(path, '{"key": "cut o');
    const file = new ResultsFile(path);
    file.add(result('second'));
    expect(
      readFileSync(path, 'utf8')
        .trim()
        .split('\n')
        .map((l) => JSON.parse(l).sources),
    ).toEqual(['first', 'second']);
  });

  it('refuse a broken line in the middle, with its place', () => {
    new ResultsFile(path).add(result('first'));
    appendFileSync(path, 'oops\n');
    expect(() => new ResultsFile(path)).toThrow(/results\.jsonl:2: not a line of JSON/);
  });

  it('of an entry whose conditions have changed are not found', () => {
    new ResultsFile(path).add(result('any'));
    const changed = { ...entry, conditions: { ...entry.conditions, sigma: 0.04 } };
    expect(new ResultsFile(path).find(changed)).toBeUndefined();
  });
});

describe('plan of the study', () => {
  const plan = studyPlan();

  it('draws every scan of a model from numbers of its own', () => {
    for (const model of MODELS) {
      const own = plan.filter((e) => e.model === model);
      expect(new Set(own.map((e) => e.draw)).size).toBe(own.length);
    }
    expect(new Set(plan.map((e) => e.key)).size).toBe(plan.length);
  });

  it('holds at least 200 ordinary scans of each model, and a quarter of all ordinary ones with the exponential kernel', () => {
    for (const model of MODELS) {
      const of = (name: string) => plan.filter((e) => e.model === model && e.group === name);
      expect(of('ordinary').length).toBeGreaterThanOrEqual(200);
      expect(of('ordinary').every((e) => e.conditions.correlated.kernel === 'gaussian')).toBe(true);
      const share = of('exponential').length / (of('exponential').length + of('ordinary').length);
      expect(Math.abs(share - 0.25)).toBeLessThan(0.005);
    }
  });

  it('interleaves the groups, so that a part of it is a part of each', () => {
    const tenth = plan.slice(0, plan.length / 10);
    for (const g of GROUPS) expect(tenth.some((e) => e.group === g.name && e.model === 'a')).toBe(true);
  });
});
