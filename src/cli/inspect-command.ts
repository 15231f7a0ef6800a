import { MEASURANDS } from '../measurands/measurands.ts';
import { isFailed, type ScanRecord } from '../records/record.ts';
import { inspectTable } from '../reports/inspect-table.ts';
import type { Measured } from '../batch/measure-file.ts';
import type { ExitCode } from './exit-code.ts';
import { inOrder } from './in-order.ts';
import { exitCodeOf, measureTasks, measureTasksOf } from './measure-command.ts';
import { type StatedOptions, statedSettings } from './stated-settings.ts';
import type { CommandContext } from './surroundings.ts';

export interface InspectCommandOptions extends StatedOptions {
  readonly json?: boolean;
  readonly jobs?: number;
}

/** `necksight inspect SCAN…`: what a file is, how good it is, and what can be measured in it. */
export async function inspectCommand(scans: readonly string[], options: InspectCommandOptions, context: CommandContext): Promise<ExitCode> {
  const print = inOrder<Measured>(({ record }) => {
    context.stdout(options.json === true ? `${JSON.stringify(inspection(record))}\n` : `${inspectTable(record)}\n`);
    if (isFailed(record)) context.log.error(`${record.scan}: ${record.failed.message} (${record.failed.code})`);
  });
  return exitCodeOf(await measureTasksOf(measureTasks(scans, statedSettings(options)), options.jobs, context, print));
}

/** The part of a record that is about the file. */
function inspection(record: ScanRecord): object {
  if (isFailed(record)) return record;
  const {
    scan,
    sha256,
    format,
    points,
    triangles,
    unit,
    class: instrumentClass,
    station,
    survey,
    dropped,
    warnings,
    absent,
    measures,
  } = record;
  return {
    scan,
    sha256,
    format,
    points,
    triangles,
    unit,
    class: instrumentClass,
    station,
    ...survey,
    dropped,
    warnings,
    supported: MEASURANDS.filter(({ id }) => measures[id] !== undefined).map(({ id }) => id),
    absent,
  };
}
