import { runCli } from '../../src/cli/run-cli.ts';
import type { ExitCode } from '../../src/cli/exit-code.ts';
import { modelWorkerEntry } from '../batch/build-model-worker.ts';
import { modelMeasuring } from '../batch/model-measuring.ts';

export interface CliResult {
  readonly code: ExitCode;
  readonly stdout: string;
  readonly stderr: string;
}

export interface CliOptions {
  readonly now?: () => Date;
  readonly signal?: AbortSignal;
  /** Sees standard error as it is written. */
  readonly onStderr?: (text: string) => void;
}

/** Runs one command line in this process, with worker processes and an invented result for every scan that can be read. */
export async function runNecksight(args: readonly string[], options: CliOptions = {}): Promise<CliResult> {
  let stdout = '';
  let stderr = '';
  const code = await runCli(args, {
    stdout: (text) => {
      stdout += text;
    },
    stderr: (text) => {
      stderr += text;
      options.onStderr?.(text);
    },
    now: options.now ?? (() => new Date()),
    catchInterrupt: () => options.signal ?? new AbortController().signal,
    loadMeasuring: async () => modelMeasuring,
    // A heap so small that running out of it takes no time.
    worker: { entry: modelWorkerEntry(), nodeArguments: ['--enable-source-maps', '--max-old-space-size=48'] },
  });
  return { code, stdout, stderr };
}
