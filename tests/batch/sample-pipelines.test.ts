import { readdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { beforeAll, describe, expect, it } from 'vitest';
import { readPipeline } from '../../src/batch/read-pipeline.ts';
import { compareScans } from '../../src/change/compare-scans.ts';
import type { ComparisonResult } from '../../src/change/change-result.ts';
import { readScan } from '../../src/formats/read-scan.ts';
import { openScan } from '../../src/measures/open-scan.ts';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));
const SCANS = join(ROOT, 'sample-scans');
/** Bytes: the folder travels with the package. */
const MOST = 14e6;

it.each(readdirSync(join(ROOT, 'pipelines')).filter((name) => name.endsWith('.json')))('pipelines/%s finds its scans', async (name) => {
  const { loaded, problems } = await readPipeline(join(ROOT, 'pipelines', name));
  expect(problems).toEqual([]);
  expect(name).toContain(loaded?.pipeline.kind);
});

it('the sample scans stay small', () => {
  expect(readdirSync(SCANS).reduce((sum, name) => sum + statSync(join(SCANS, name)).size, 0)).toBeLessThan(MOST);
});

describe('the sample of a neck that was reset', () => {
  const truth = JSON.parse(readFileSync(join(SCANS, 'truth-0019.json'), 'utf8'));
  let result: ComparisonResult;

  beforeAll(async () => {
    const [before, after] = await Promise.all(
      ['0018', '0019'].map(async (n) => openScan((await readScan(join(SCANS, `scan-${n}.ply.gz`))).scan, {})),
    );
    result = compareScans(before, after);
  }, 120_000);

  it('shows what the reset did, within its uncertainty', () => {
    // One in four hundred errors passes 3 u.
    const U = 3;
    for (const id of ['neckPitch', 'neckYaw', 'neckBend', 'projectionByNeck', 'projectionByBoard'] as const) {
      const change = result.changes[id] ?? expect.fail(`${id} is absent`);
      expect(Math.abs(change.value - truth.changes[id]), id).toBeLessThan(U * change.u);
    }
    for (const id of ['projection', 'neckAngle', 'boardOffset', 'heelLean'] as const) {
      const change = result.differences[id] ?? expect.fail(`${id} is absent`);
      expect(Math.abs(change.value - truth.differences[id]), id).toBeLessThan(U * change.u);
    }
    expect(result.changes.neckPitch?.significant).toBe(true);
    expect(result.differences.projection?.significant).toBe(true);
  });

  it('gives no turn and bend of a heel that was recut', () => {
    expect(result.changes.heelRootRotation).toBeUndefined();
    expect(result.absent.find((a) => a.measure === 'heelBend')?.reason).toMatch(/heel/);
  });
});
