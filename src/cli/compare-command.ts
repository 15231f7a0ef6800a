import { FAULT_CODE } from '../records/failed-record.ts';
import { comparisonTable } from '../reports/comparison-table.ts';
import { EXIT, type ExitCode } from './exit-code.ts';
import { type StatedOptions, statedSettings } from './stated-settings.ts';
import type { CommandContext } from './surroundings.ts';
import { UsageError } from './usage-error.ts';

export interface CompareCommandOptions extends StatedOptions {
  readonly json?: boolean;
}

/** `necksight compare BASELINE SCAN…`: what changed since the first scan, a table or one record a line for each later one. */
export async function compareCommand(
  first: string,
  scans: readonly string[],
  options: CompareCommandOptions,
  context: CommandContext,
): Promise<ExitCode> {
  if (scans.includes(first))
    throw new UsageError(`${first} is given as baseline and as later scan; give another scan of the same instrument`);
  const [{ readScan }, { compareFiles }] = await Promise.all([context.loadMeasuring(), import('../batch/compare-files.ts')]);
  const settings = statedSettings(options);
  const file = (scan: string) => ({ path: scan, subject: { scan, settings } });
  const all = await compareFiles(readScan, file(first), scans.map(file), context.now, ({ record, stack }) => {
    context.stdout(options.json === true ? `${JSON.stringify(record)}\n` : `${comparisonTable(record)}\n`);
    if ('failed' in record) context.log.error(`${record.scan}: ${record.failed.message} (${record.failed.code})`);
    if (stack !== undefined && context.stack) context.stderr(`${stack}\n`);
  });
  const failures = all.flatMap(({ record }) => ('failed' in record ? [record.failed.code] : []));
  if (failures.includes(FAULT_CODE)) return EXIT.fault;
  return failures.length > 0 ? EXIT.partly : EXIT.done;
}
