import { type CollectionOptions, writeCollection } from '../samples/write-collection.ts';
import { EXIT, type ExitCode } from './exit-code.ts';
import type { CommandContext } from './surroundings.ts';

/** `necksight sample DIR`: invented instruments as scans, with their truth. */
export async function sampleCommand(dir: string, options: CollectionOptions, context: CommandContext): Promise<ExitCode> {
  await writeCollection(dir, options);
  context.stdout(`Sample scans with catalogue and truth: ${dir}\n`);
  return EXIT.done;
}
