import { readFile } from 'node:fs/promises';
import { type Problem, problemLine } from '../batch/problem.ts';
import { readCatalogue } from '../batch/read-catalogue.ts';
import { readPipeline } from '../batch/read-pipeline.ts';
import { printable } from '../reports/printable.ts';
import { EXIT, type ExitCode } from './exit-code.ts';
import type { CommandContext } from './surroundings.ts';

/** `necksight check FILE…`: every problem of pipeline files and catalogues, without measuring. */
export async function checkCommand(files: readonly string[], context: CommandContext): Promise<ExitCode> {
  let wrong = 0;
  for (const file of files) {
    const { problems, summary } = await checked(file);
    for (const problem of problems) context.stdout(`${printable(problemLine(problem))}\n`);
    if (problems.length === 0) context.stdout(`${file}: in order (${summary})\n`);
    wrong += problems.length;
  }
  if (wrong > 0) context.log.error(`${wrong} ${wrong === 1 ? 'problem' : 'problems'} found`);
  return wrong > 0 ? EXIT.usage : EXIT.done;
}

async function checked(file: string): Promise<{ problems: readonly Problem[]; summary: string }> {
  if (await isPipeline(file)) {
    const { problems, loaded } = await readPipeline(file);
    return { problems, summary: `${loaded?.pipeline.kind ?? 'pipeline'}, ${scans(loaded?.entries.length ?? 0)}` };
  }
  const { problems, entries } = await readCatalogue(file);
  return { problems, summary: `catalogue, ${scans(entries.length)}` };
}

const scans = (count: number): string => `${count} ${count === 1 ? 'scan' : 'scans'}`;

/** A pipeline file is a JSON object; a catalogue is CSV or a JSON list. What cannot be read is told by its reader. */
async function isPipeline(file: string): Promise<boolean> {
  const content = await readFile(file, 'utf8').catch(() => '');
  return content === '' ? file.endsWith('.json') : /^\uFEFF?\s*\{/.test(content);
}
