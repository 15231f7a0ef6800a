import { availableParallelism } from 'node:os';
import { type Measured, measureFile, type MeasureTask } from '../batch/measure-file.ts';
import { heapFor } from '../batch/worker-pool.ts';
import { FAULT_CODE } from '../records/failed-record.ts';
import { isFailed, type Settings } from '../records/record.ts';
import { recordTable } from '../reports/record-table.ts';
import { EXIT, type ExitCode } from './exit-code.ts';
import { inOrder } from './in-order.ts';
import { type StatedOptions, statedSettings } from './stated-settings.ts';
import type { CommandContext } from './surroundings.ts';

export interface MeasureCommandOptions extends StatedOptions {
  readonly json?: boolean;
  readonly jobs?: number;
}

/** `necksight measure SCAN…`: a table for people, or one record a line, in the order given. */
export async function measureCommand(scans: readonly string[], options: MeasureCommandOptions, context: CommandContext): Promise<ExitCode> {
  const tasks = measureTasks(scans, statedSettings(options));
  const print = inOrder<Measured>((measured) => {
    const { record } = measured;
    context.stdout(options.json === true ? `${JSON.stringify(record)}\n` : `${recordTable(record)}\n`);
    if (isFailed(record)) context.log.error(`${record.scan}: ${record.failed.message} (${record.failed.code})`);
    if (measured.stack !== undefined && context.stack) context.stderr(`${measured.stack}\n`);
  });
  return exitCodeOf(await measureTasksOf(tasks, options.jobs, context, print));
}

export const measureTasks = (scans: readonly string[], settings: Settings): readonly MeasureTask[] =>
  scans.map((scan) => ({ path: scan, subject: { scan, settings } }));

/** One scan is measured right here, which saves the start of a process; several in worker processes. */
export async function measureTasksOf(
  tasks: readonly MeasureTask[],
  jobs: number | undefined,
  context: CommandContext,
  onMeasured: (measured: Measured, index: number) => void,
): Promise<readonly Measured[]> {
  if (tasks.length === 1) {
    const measured = await measureFile(await context.loadMeasuring(), tasks[0] as MeasureTask, context.now);
    onMeasured(measured, 0);
    return [measured];
  }
  const { measureMany } = await import('../batch/measure-many.ts');
  const workers = Math.min(jobs ?? availableParallelism(), tasks.length);
  let done = 0;
  return measureMany(tasks, {
    jobs: workers,
    worker: { ...context.worker, heapMegabytes: heapFor(workers) },
    signal: context.catchInterrupt(),
    onMeasured: (measured, index) => {
      context.log.info(`${++done}/${tasks.length} ${measured.record.scan}`);
      onMeasured(measured, index);
    },
  });
}

/** The worst that happened decides. */
export function exitCodeOf(all: readonly Measured[]): ExitCode {
  const failures = all.flatMap(({ record }) => (isFailed(record) ? [record.failed.code] : []));
  if (failures.includes(FAULT_CODE)) return EXIT.fault;
  return failures.length > 0 ? EXIT.partly : EXIT.done;
}
