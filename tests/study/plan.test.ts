import { describe, expect, it } from 'vitest';
import { groupFigures } from './group-figures.ts';
import { GROUPS, studyPlan } from './plan.ts';
import type { StudyResult } from './study-result.ts';
import { studyTables } from './study-tables.ts';

/** Scans of a group of which so many of 600 intervals hold the truth. */
function results(group: string, inside: number): StudyResult[] {
  return Array.from({ length: 600 }, (_, k) => ({
    key: `${group}-a-${k}`,
    group,
    model: 'a',
    points: 1,
    triangles: 0,
    seconds: { make: 0, read: 0, measure: 0 },
    frame: { rotation: 0, origin: 0 },
    bodyLength: 355,
    mistaken: [],
    scores: [
      {
        id: 'neckAngle',
        truth: k < inside ? 7 : 8,
        uTruth: 0,
        supported: true,
        floor: 0.01,
        given: { value: 7, u: 0.1, U95: 0.196, quality: 'good', basis: 'measured' },
      },
    ],
  }));
}

const row = (title: RegExp, all: readonly StudyResult[]): readonly string[] | undefined =>
  studyTables(all)
    .find((t) => t.title === 'By group')
    ?.rows.find((r) => title.test(r[0]));
const coverageIn = (r: readonly string[] | undefined): string => r?.[9] ?? '';

describe('the plan of the study', () => {
  it('has 500 scans and more of both models, and no draw twice in one model', () => {
    const plan = studyPlan();
    expect(plan.length).toBeGreaterThanOrEqual(500);
    expect(new Set(plan.map((e) => `${e.model} ${e.draw}`)).size).toBe(plan.length);
  });

  it('states the long-wave error of some scans as it is', () => {
    const told = studyPlan().filter((e) => e.conditions.stated.longWave !== undefined);
    expect(told.length).toBeGreaterThanOrEqual(100);
    for (const { conditions } of told) {
      expect(conditions.stated.longWave).toBe(conditions.correlated.amplitude);
      expect(conditions.stated.longWaveLength).toBe(conditions.correlated.length);
    }
  });
});

describe('coverage by group', () => {
  it('is held against both bounds, below the assumed error against the lower one, far above it against none', () => {
    expect(coverageIn(row(/^Clean violins/, results('clean', 600)))).toContain('✗');
    expect(coverageIn(row(/0\.008 mm, model A/, results('low', 600)))).toContain('✓');
    expect(coverageIn(row(/0\.008 mm, model A/, results('low', 450)))).toContain('✗');
    expect(coverageIn(row(/0\.008 mm, stated, model A/, results('low-stated', 600)))).toContain('✗');
    expect(coverageIn(row(/0\.1 mm, model A/, results('high', 300)))).not.toMatch(/[✓✗]/);
  });

  it('leaves what nothing was promised of out of all scans', () => {
    const both = [...results('clean', 570), ...results('high', 300)];
    expect(coverageIn(row(/^All scans/, both))).toContain('95.0');
    expect(groupFigures(both).coverage).toBeCloseTo(870 / 1200, 12);
  });
});

it('every group has a name of its own', () => {
  expect(new Set(GROUPS.map((g) => g.name)).size).toBe(GROUPS.length);
});
