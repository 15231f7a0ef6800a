/**
 * Accuracy on many model scans:
 *   npm run study -- [--part scans|pairs] [--only GROUP[-MODEL],…] [--limit N] [--jobs N] [--out DIR] [--stale redo|keep] [--report]
 * `scans` measures single scans, `pairs` holds repeat scans against their baselines (`--limit` counts baselines there, `--only` names their jobs or groups).
 * Results go to DIR/results.jsonl, one line a scan or pair; what is there already is not made again, unless plan or code have changed since
 * (`--stale keep` takes results of other code as they are; `--report` only writes the report again).
 */
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { studyPairs } from './pairs/study-pairs.ts';
import { studyScans } from './study-scans.ts';
import { studySettings } from './study-settings.ts';

const REPORTS = fileURLToPath(new URL('../../reports', import.meta.url));
const PARTS = { scans: { run: studyScans, folder: 'study' }, pairs: { run: studyPairs, folder: 'study-pairs' } } as const;

const { values: given } = parseArgs({
  options: {
    part: { type: 'string', default: 'scans' },
    only: { type: 'string' },
    limit: { type: 'string', default: 'all' },
    jobs: { type: 'string', default: '2' },
    out: { type: 'string' },
    stale: { type: 'string', default: 'redo' },
    report: { type: 'boolean', default: false },
  },
});

if (given.part !== 'scans' && given.part !== 'pairs') throw new Error(`--part is scans or pairs, not "${given.part}"`);
const { run, folder } = PARTS[given.part];
await run(studySettings({ ...given, out: given.out ?? join(REPORTS, folder) }));
