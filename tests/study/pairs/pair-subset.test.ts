import { beforeAll, describe, expect, it } from 'vitest';
import { compareJob } from './compare-job.ts';
import { drawChange } from './draw-change.ts';
import { judgePair } from './judge-pair.ts';
import { pairModelA } from './pair-model-a.ts';
import { PAIR_GROUPS, type PairJob, type PairLook, pairPlan } from './pair-plan.ts';
import type { PairResult } from './pair-result.ts';
import { pairTables } from './pair-tables.ts';
import { random } from '../../../src/numerics/random.ts';

/** Coarser than the study, so that the pair takes some ten seconds; mm on a violin. */
const LOOK: PairLook = { quality: 'clean', view: 'whole', fittings: 'bare', spacing: 1, form: 'mesh', unit: 'mm' };
/** Draws of its own: no pair of the study is among them. */
const JOB: PairJob = {
  key: 'subset',
  model: 'a',
  draw: 399000,
  look: LOOK,
  pairs: [
    {
      key: 'subset-0',
      group: 'mixed-clean',
      model: 'a',
      instrument: 0,
      draw: 'pair subset 0',
      // The neck by root and block, the board besides: three of the six at once.
      change: { ...drawChange('none', random('pair subset')), root: 0.3, block: 0.15, planed: -0.3 },
      look: LOOK,
    },
  ],
};
/** Standard uncertainties that an error may reach: of some 60 values one may pass three by chance. */
const PULL = 4.5;

describe('a pair of the study', () => {
  let results: PairResult[];
  beforeAll(async () => {
    results = await compareJob(JOB, pairModelA);
  }, 120_000);

  it('is compared, its changes within their uncertainty, and nothing silently wrong', () => {
    const [result] = results;
    expect(result?.failed).toBeUndefined();
    const judged = (result?.scores ?? []).map((s) => ({ id: s.id, ...judgePair(s) })).filter((j) => j.error !== undefined);
    expect(judged.length).toBeGreaterThan(50);
    expect(judged.filter((j) => j.silent)).toEqual([]);
    expect(judged.filter((j) => j.id !== 'bodyResidual' && Math.abs(j.pull ?? 0) > PULL)).toEqual([]);
  });

  it('has every change that such scans support, and those that are large are real', () => {
    const [result] = results;
    expect(result?.scores.filter((s) => s.supported === true && s.given === undefined).map((s) => s.id)).toEqual([]);
    const real = result?.tests.filter((t) => t.significant === true).map((t) => t.id);
    expect(real).toEqual(expect.arrayContaining(['neckPitch', 'd projection', 'd neckAngle']));
  });

  it('fills the tables of the report', () => {
    const titles = pairTables(results).map((t) => t.title);
    expect(titles).toContain('By group, model A');
    expect(titles).toContain('Registration of the bodies');
    expect(titles).toContain('Several changes, clean: truly changed');
  });
});

describe('the plan of pairs', () => {
  const plan = pairPlan();
  const pairs = plan.flatMap((job) => job.pairs);

  it('is the same each time, with a key of its own for each pair', () => {
    expect(pairPlan()).toEqual(plan);
    expect(new Set(pairs.map((p) => p.key)).size).toBe(pairs.length);
  });

  it.each(PAIR_GROUPS.map((g) => [g.name, g] as const))('%s has its pairs, of changes as they are meant', (name, { kind }) => {
    const own = pairs.filter((p) => p.group === name);
    expect(own.length).toBeGreaterThanOrEqual(kind === 'none' ? 300 : kind === 'board' || kind === 'neck' ? 60 : 100);
    for (const { change } of own) {
      const { root, bend, warp, block, planed, bent, arch } = change;
      const happened = [root, bend, warp, block, planed + bent, arch].filter((v) => v !== 0).length;
      if (kind === 'mixed') expect(happened).toBeGreaterThan(1);
      if (kind === 'none') expect(change).toEqual(drawChange('none', random('any')));
      if (kind === 'board') expect(happened).toBe(1);
    }
  });

  it('has scans of no other study', () => {
    expect(plan.some((job) => job.draw === JOB.draw)).toBe(false);
  });
});
