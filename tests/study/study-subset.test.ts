import { beforeAll, describe, expect, it } from 'vitest';
import { judgeScore } from './judge-score.ts';
import { MODELLED } from './models.ts';
import { GROUPS } from './plan.ts';
import type { Score, StudyResult } from './study-result.ts';
import { studyScan } from './study-scan.ts';
import { SUBSET, SUBSET_SPACING } from './subset.ts';
import { TARGETS } from './targets.ts';

/** The study's 95th percentiles are two standard deviations: twice as much is passed once in 15 000 normal errors. */
const FOUR_SIGMA = 2;
/** What white noise leaves of a feature grows with the spacing; the correlated error of ordinary scans does not. */
const COARSER = { clean: SUBSET_SPACING / 0.5, ordinary: 1 } as const;
/** Standard uncertainties that an error may reach: five make a value wrong, and of some 160 one may pass three by chance. */
const PULL = 5;
/** Making, reading and measuring one scan takes two to five seconds on an idle core. */
const PATIENCE = 120_000;

describe.each(SUBSET.map((entry) => [entry.key, entry] as const))('%s', (_, entry) => {
  const quality = entry.group === 'coarse-clean' ? 'clean' : 'ordinary';
  let result: StudyResult;
  beforeAll(async () => {
    result = await studyScan(entry, MODELLED[entry.model]);
  }, PATIENCE);

  const scoreOf = (id: string): Score => result.scores.find((s) => s.id === id) as Score;

  it('is measured, with its class and unit found', () => {
    expect(result.failed).toBeUndefined();
    expect(result.mistaken).toEqual([]);
    expect(result.frame?.rotation).toBeLessThan(0.1);
  });

  it.each(Object.entries(TARGETS[quality] ?? {}))("errs in %s no more than the study's figures allow", (id, p95) => {
    const score = scoreOf(id);
    expect(score.given, score.absent).toBeDefined();
    expect(Math.abs(judgeScore(score)?.error ?? Number.NaN)).toBeLessThan(FOUR_SIGMA * COARSER[quality] * p95);
  });

  it('has nothing that is silently wrong, and no error beyond what its uncertainty allows', () => {
    const judged = result.scores.map((s) => ({ id: s.id, ...judgeScore(s) }));
    expect(judged.filter((j) => j.silent)).toEqual([]);
    expect(judged.filter((j) => Math.abs(j.pull ?? 0) > PULL)).toEqual([]);
  });
});

it('is made of scans that are not in the study', () => {
  const draws = new Set(GROUPS.flatMap((g) => Array.from({ length: g.count }, (_, n) => g.firstDraw + n)));
  expect(SUBSET.some((e) => draws.has(e.draw))).toBe(false);
});
