/**
 * Accuracy on many model scans:
 *   npm run study -- [--only GROUP[-MODEL],…] [--limit N] [--jobs N] [--out DIR] [--stale redo|keep] [--report]
 * Results go to DIR/results.jsonl, one line a scan; what is there already is not made again, unless plan or code have changed since
 * (`--stale keep` takes results of other code as they are; `--report` only writes the report again).
 */
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { buildWorker } from './build-worker.ts';
import { MODELS, type PlanEntry, studyPlan } from './plan.ts';
import { planHash, ResultsFile, type StoredResult } from './results-file.ts';
import { runPlan } from './run-plan.ts';
import { reportPage } from './report-page.ts';
import { tableMarkdown } from './report-table.ts';
import { studyTables } from './study-tables.ts';
import { timeTable } from './time-table.ts';

const { values: given } = parseArgs({
  options: {
    only: { type: 'string' },
    limit: { type: 'string', default: 'all' },
    jobs: { type: 'string', default: '2' },
    out: { type: 'string', default: fileURLToPath(new URL('../../reports/study', import.meta.url)) },
    stale: { type: 'string', default: 'redo' },
    report: { type: 'boolean', default: false },
  },
});

const wanted = chosen(studyPlan());
const file = new ResultsFile(join(given.out, 'results.jsonl'));
const worker = await buildWorker();
try {
  const valid = (entry: PlanEntry): StoredResult | undefined => {
    const found = file.find(entry);
    return found !== undefined && (given.stale === 'keep' || found.sources === worker.sources[entry.model]) ? found : undefined;
  };
  const missing = wanted.filter((entry) => valid(entry) === undefined);
  if (!given.report) await run(missing, wanted.length - missing.length);
  writeReport(wanted.map(valid).filter((r) => r !== undefined));
} finally {
  await worker.remove();
}

/** @throws {Error} an option that is none */
function chosen(plan: readonly PlanEntry[]): readonly PlanEntry[] {
  const limit = given.limit === 'all' ? Number.POSITIVE_INFINITY : Number(given.limit);
  if (!(limit > 0)) throw new Error(`--limit wants a number of scans, not "${given.limit}"`);
  if (given.stale !== 'redo' && given.stale !== 'keep') throw new Error(`--stale is redo or keep, not "${given.stale}"`);
  const names = given.only?.split(',');
  const known = new Set(plan.flatMap((e) => [e.group, `${e.group}-${e.model}`, e.key, ...MODELS]));
  for (const name of names ?? [])
    if (!known.has(name))
      throw new Error(`--only: no group or scan "${name}"; there are ${[...new Set(plan.map((e) => e.group))].join(', ')}`);
  const matches = (e: PlanEntry): boolean =>
    names === undefined || names.some((n) => [e.group, e.model, `${e.group}-${e.model}`, e.key].includes(n));
  return plan.filter((e) => matches(e) && e.number < limit);
}

async function run(missing: readonly PlanEntry[], done: number): Promise<void> {
  const jobs = Number(given.jobs);
  if (!(Number.isInteger(jobs) && jobs > 0)) throw new Error(`--jobs wants a number of processes, not "${given.jobs}"`);
  const start = Date.now();
  let finished = 0;
  say(`${missing.length} scans to do in ${jobs} processes, ${done} done already`);
  const step = (what: string): void => {
    finished++;
    const left = ((Date.now() - start) / finished) * (missing.length - finished);
    say(`${finished}/${missing.length} ${what}, about ${Math.ceil(left / 60000)} min left`);
  };
  await runPlan(missing, {
    worker: worker.entry,
    jobs,
    onResult: (entry, result) => {
      file.add({ plan: planHash(entry), sources: worker.sources[entry.model], ...result });
      const { make, read, measure } = result.seconds;
      step(
        `${entry.key}: ${result.failed?.code ?? 'measured'} (made in ${make.toFixed(1)} s, read in ${read.toFixed(1)} s, measured in ${measure.toFixed(1)} s)`,
      );
    },
    onDeath: (entry, how) => {
      process.exitCode = 1;
      step(`${entry.key}: the process died (${how}); the next run tries again`);
    },
  });
}

function writeReport(results: readonly StoredResult[]): void {
  const tables = [...studyTables(results), timeTable(results)];
  const lead = `${results.length} of ${wanted.length} scans. Errors in mm or degrees against the models' true values.`;
  const markdown = [`## Accuracy study`, '', lead, '', ...tables.map(tableMarkdown)].join('\n');
  mkdirSync(given.out, { recursive: true });
  writeFileSync(join(given.out, 'summary.md'), markdown);
  writeFileSync(join(given.out, 'index.html'), reportPage('Accuracy study', lead, tables));
  process.stdout.write(markdown);
  say(`written to ${join(given.out, 'summary.md')} and index.html`);
}

function say(text: string): void {
  process.stderr.write(`study: ${text}\n`);
}
