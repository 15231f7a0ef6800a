import { availableParallelism } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { folderProblem } from '../batch/report-folder.ts';
import { type Problem, problemLine } from '../batch/problem.ts';
import { type LoadedPipeline, readPipeline } from '../batch/read-pipeline.ts';
import { runComparison } from '../batch/run-comparison.ts';
import type { RunOptions, ScanProgress } from '../batch/run-options.ts';
import { runSurvey } from '../batch/run-survey.ts';
import { heapFor } from '../batch/worker-pool.ts';
import { FAULT_CODE } from '../records/failed-record.ts';
import type { RunFile } from '../records/run-file.ts';
import { comparisonTable } from '../reports/comparison-table.ts';
import { headlineTable } from '../reports/headline-table.ts';
import { printable } from '../reports/printable.ts';
import { trackingLines } from '../reports/tracking-lines.ts';
import { EXIT, type ExitCode } from './exit-code.ts';
import type { CommandContext } from './surroundings.ts';
import { UsageError } from './usage-error.ts';

export interface RunCommandOptions {
  readonly out?: string;
  readonly jobs?: number;
}

/** `necksight run PIPELINE…`: measures and writes a report folder for each pipeline file. */
export async function runCommand(files: readonly string[], options: RunCommandOptions, context: CommandContext): Promise<ExitCode> {
  const loaded = await loadAll(files, context);
  const plans = loaded.map((pipeline) => ({ pipeline, out: outFolder(pipeline, options, loaded.length) }));
  await refuseFolders(plans.map(({ out }) => out));
  const signal = context.catchInterrupt();
  let worst: ExitCode = EXIT.done;
  for (const { pipeline, out } of plans) {
    const shared = { out, signal, now: context.now, onScan: (progress: ScanProgress) => tell(progress, context) };
    const run =
      pipeline.pipeline.kind === 'survey'
        ? await survey(pipeline, shared, options, context)
        : await comparison(pipeline, shared, options, context);
    context.stdout(`The report: ${join(out, 'index.html')}\n`);
    worst = Math.max(worst, exitCodeOf(run)) as ExitCode;
  }
  return worst;
}

type Shared = Omit<RunOptions, 'jobs' | 'worker'>;

async function survey(pipeline: LoadedPipeline, shared: Shared, options: RunCommandOptions, context: CommandContext): Promise<RunFile> {
  const jobs = options.jobs ?? availableParallelism();
  context.log.info(`${pipeline.pipeline.title}: ${pipeline.entries.length} scans, ${jobs} at a time`);
  const { records, run } = await runSurvey(pipeline, { ...shared, jobs, worker: { ...context.worker, heapMegabytes: heapFor(jobs) } });
  context.stdout(`${headlineTable(records)}\n`);
  return run;
}

async function comparison(pipeline: LoadedPipeline, shared: Shared, options: RunCommandOptions, context: CommandContext): Promise<RunFile> {
  const jobs = options.jobs ?? availableParallelism();
  const { title, kind } = pipeline.pipeline;
  const count = pipeline.series.reduce((sum, { entries }) => sum + entries.length, 0);
  context.log.info(
    `${title}: ${count} scans of ${pipeline.series.length} ${pipeline.series.length === 1 ? 'instrument' : 'instruments'}, ${jobs} at a time`,
  );
  for (const instrument of pipeline.single)
    context.log.warn(`${printable(instrument)} has one scan only: left out, there is nothing to compare it with`);
  const { series, run } = await runComparison(pipeline, { ...shared, jobs, worker: { ...context.worker, heapMegabytes: heapFor(jobs) } });
  const tables = series.flatMap(({ comparisons }) => comparisons.map(comparisonTable));
  context.stdout(kind === 'tracking' ? `${trackingLines(series)}\n` : `${tables.join('\n')}\n`);
  return run;
}

/** @throws {UsageError} with every problem of every file: nothing is started then */
async function loadAll(files: readonly string[], context: CommandContext): Promise<readonly LoadedPipeline[]> {
  const readings = await Promise.all(files.map(readPipeline));
  const problems = readings.flatMap((reading) => reading.problems);
  const stopping = problems.filter((problem) => problem.kind !== 'missing-scan');
  if (stopping.length > 0) throw new UsageError(stopping.map(line));
  for (const problem of problems) context.log.warn(line(problem));
  return readings.flatMap(({ loaded }) => loaded ?? []);
}

const line = (problem: Problem): string => printable(problemLine(problem));

function outFolder({ file, name, pipeline }: LoadedPipeline, options: RunCommandOptions, count: number): string {
  if (options.out !== undefined) return count === 1 ? options.out : join(options.out, name);
  return pipeline.out === undefined ? join('reports', name) : join(dirname(file), pipeline.out);
}

/** @throws {UsageError} two reports in one folder, or a folder that holds something else */
async function refuseFolders(folders: readonly string[]): Promise<void> {
  const twice = folders.find((folder, i) => folders.findIndex((other) => resolve(other) === resolve(folder)) !== i);
  if (twice !== undefined) throw new UsageError(`two reports would go into ${twice}; give the pipeline files different names or "out"`);
  const problems = (await Promise.all(folders.map(folderProblem))).filter((problem) => problem !== undefined);
  if (problems.length > 0) throw new UsageError(problems);
}

function tell({ done, asked, measured, reused }: ScanProgress, context: CommandContext): void {
  const { record, stack } = measured;
  const count = `${String(done).padStart(String(asked).length)}/${asked}`;
  const name = printable(record.scan);
  if ('failed' in record) context.log.error(`${count} ${name}: ${printable(record.failed.message)} (${record.failed.code})`);
  else context.log.info(`${count} ${name}${reused ? ' (unchanged, kept)' : ''}`);
  if (stack !== undefined && context.stack) context.stderr(`${stack}\n`);
}

function exitCodeOf(run: RunFile): ExitCode {
  if (run.failures.some(({ code }) => code === FAULT_CODE)) return EXIT.fault;
  return run.failures.length > 0 ? EXIT.partly : EXIT.done;
}
