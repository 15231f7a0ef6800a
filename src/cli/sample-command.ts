import { type CollectionOptions, writeCollection } from '../samples/write-collection.ts';
import type { SeriesKind } from '../samples/series-kinds.ts';
import { EXIT, type ExitCode } from './exit-code.ts';
import type { CommandContext } from './surroundings.ts';
import { UsageError } from './usage-error.ts';

export interface SampleCommandOptions extends CollectionOptions {
  readonly series?: SeriesKind | 'all';
  readonly dates?: number;
}

/** `necksight sample DIR`: invented instruments as scans, with their truth; with `--series` as repeat scans of what changes. */
export async function sampleCommand(dir: string, options: SampleCommandOptions, context: CommandContext): Promise<ExitCode> {
  const { series, dates, ...collection } = options;
  if (series !== undefined) {
    const { writeSeries } = await import('../samples/write-series.ts');
    await writeSeries(dir, { ...collection, series, ...(dates === undefined ? {} : { dates }) });
  } else if (dates !== undefined) throw new UsageError('--dates is for repeat scans: say with --series what becomes of the instrument');
  else await writeCollection(dir, collection);
  context.stdout(`Sample scans with catalogue and truth: ${dir}\n`);
  return EXIT.done;
}
