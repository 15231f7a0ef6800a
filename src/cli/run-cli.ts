import { CommanderError } from 'commander';
import { Interrupted } from '../batch/with-workers.ts';
import { EXIT, type ExitCode } from './exit-code.ts';
import { createLog, type LogOptions } from './log.ts';
import { createProgram } from './program.ts';
import type { Surroundings } from './surroundings.ts';
import { UsageError } from './usage-error.ts';

/** Runs one command line and says with which code the process should end. Never throws. */
export async function runCli(args: readonly string[], surroundings: Surroundings): Promise<ExitCode> {
  let code: ExitCode = EXIT.done;
  const program = createProgram(surroundings, (exit) => {
    code = exit;
  });
  try {
    await program.parseAsync(args, { from: 'user' });
    return code;
  } catch (error) {
    // Commander has printed what is wrong already; help and version are no errors.
    if (error instanceof CommanderError) return error.exitCode === 0 ? EXIT.done : EXIT.usage;
    return explain(error, args, surroundings);
  }
}

function explain(error: unknown, args: readonly string[], { stderr }: Surroundings): ExitCode {
  const log = createLog(logOptions(args), stderr);
  if (error instanceof UsageError) {
    for (const line of error.message.split('\n')) log.error(line);
    return EXIT.usage;
  }
  if (error instanceof Interrupted) {
    log.error(error.message);
    return EXIT.interrupted;
  }
  const message = error instanceof Error ? error.message : String(error);
  const stack = args.includes('--stack');
  log.error(`a fault in necksight itself: ${message}${stack ? '' : ' (--stack shows where)'}`);
  if (stack && error instanceof Error) stderr(`${error.stack}\n`);
  return EXIT.fault;
}

/** Read again from the bare arguments: the error may have come before they were parsed. */
function logOptions(args: readonly string[]): LogOptions {
  const place = args.indexOf('--log-format');
  return { logFormat: args.includes('--log-format=json') || (place >= 0 && args[place + 1] === 'json') ? 'json' : 'text' };
}
