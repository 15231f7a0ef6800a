import type { Measuring } from '../batch/measure-file.ts';
import type { Log } from './log.ts';

/** What commands need from outside; tests put their own in place. */
export interface Surroundings {
  readonly stdout: (text: string) => void;
  readonly stderr: (text: string) => void;
  readonly now: () => Date;
  /** From now on an interrupt (Ctrl-C) raises this signal instead of ending the process at once. */
  readonly catchInterrupt: () => AbortSignal;
  /** Loaded only by the commands that measure. */
  readonly loadMeasuring: () => Promise<Measuring>;
  /** The module of a worker process, and Node's arguments for it. */
  readonly worker: { readonly entry: string | URL; readonly nodeArguments?: readonly string[] };
}

/** The same for one command, with its log. */
export interface CommandContext extends Surroundings {
  readonly log: Log;
  readonly stack: boolean;
}
