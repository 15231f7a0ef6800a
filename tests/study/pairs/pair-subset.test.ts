import { beforeAll, describe, expect, it } from 'vitest';
import { compareJob } from './compare-job.ts';
import { drawChange, type PairChange } from './draw-change.ts';
import { judgePair } from './judge-pair.ts';
import { pairModelA } from './pair-model-a.ts';
import { pairModelB } from './pair-model-b.ts';
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
/** One pair of the second model. */
const ofSecond = (draw: string, change: Partial<PairChange>, view: PairLook['view']): PairJob => ({
  ...JOB,
  model: 'b',
  pairs: [
    {
      key: draw,
      group: 'mixed-clean',
      model: 'b',
      instrument: 0,
      draw,
      change: { ...drawChange('none', random('pair subset')), ...change },
      look: { ...LOOK, view },
    },
  ],
});
/** A top that rose as a whole, seen without the back, and a neck that warped a little: the body's change is no error of the scanners, and the board follows the warp. */
const ROSE = ofSecond('pair subset rose', { arch: 0.4, warp: 0.25, bend: 0.2 }, 'no-back');
/** A neck that rolled, without its head: the board tells the roll. */
const ROLLED = ofSecond('pair subset rolled', { roll: 0.3, root: 0.1 }, 'no-scroll');

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

describe('pairs of the second model', () => {
  const scored = async (job: PairJob) => {
    const [result] = await compareJob(job, pairModelB);
    expect(result?.failed).toBeUndefined();
    return (id: string) => {
      const score = result?.scores.find((s) => s.id === id);
      const judged = score && judgePair(score);
      if (judged === undefined) throw new Error(`no ${id}`);
      return judged;
    };
  };

  it('a top that rose is the body that changed, not the scanners, and costs the neck little', async () => {
    const of = await scored(ROSE);
    for (const id of ['neckPitch', 'neckYaw', 'neckBend', 'd projection', 'd neckAngle']) expect(Math.abs(of(id).pull)).toBeLessThan(PULL);
    // Degrees, mm: an arch of 0.4 mm taken for the scanners' long waves would leave pitch open by a tenth of a degree and more.
    expect(of('neckPitch').u).toBeLessThan(0.04);
    expect(Math.abs(of('d projection').error)).toBeLessThan(0.06);
    expect(Math.abs(of('d neckAngle').error)).toBeLessThan(0.02);
  }, 120_000);

  it('the board tells the roll of a neck whose head is not seen', async () => {
    const of = await scored(ROLLED);
    expect(Math.abs(of('neckRoll').pull)).toBeLessThan(PULL);
    // Degrees: back and sides alone leave it open by a tenth.
    expect(of('neckRoll').u).toBeLessThan(0.05);
  }, 120_000);
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
