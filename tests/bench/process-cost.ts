import { spawn, spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';

/** What a whole process cost: s on the clock and on the processor, and the most memory it ever held. */
export interface ProcessCost {
  readonly wall: number;
  readonly user: number;
  readonly system: number;
  readonly megabytes: number;
}

const ROOT = fileURLToPath(new URL('../..', import.meta.url));
const REPORTER = new URL('./report-usage.mjs', import.meta.url).href;

/** Whether processes can be held on one core, so that the clock shows what one core needs. */
export const canPin = spawnSync('taskset', ['--version']).status === 0;

/**
 * Runs the built command line, on one core where the system can do that.
 *
 * @throws {Error} it did not end with 0, with what it printed on standard error
 */
export function costOf(args: readonly string[]): Promise<ProcessCost> {
  const node = [process.execPath, '--import', REPORTER, `${ROOT}dist/necksight.js`, ...args];
  const [command, ...rest] = canPin ? ['taskset', '-c', '0', ...node] : node;
  const start = process.hrtime.bigint();
  const child = spawn(command as string, rest, { stdio: ['ignore', 'ignore', 'pipe', 'pipe'] });
  let usage = '';
  let errors = '';
  child.stdio[3]?.on('data', (chunk: Buffer) => {
    usage += chunk.toString();
  });
  child.stderr?.on('data', (chunk: Buffer) => {
    errors += chunk.toString();
  });
  return new Promise((resolve, reject) => {
    child.once('error', reject);
    child.once('close', (code) => {
      const wall = Number(process.hrtime.bigint() - start) / 1e9;
      if (code === 0) resolve({ wall, ...(JSON.parse(usage) as Omit<ProcessCost, 'wall'>) });
      else reject(new Error(`necksight ${args.join(' ')} ended with ${code}: ${errors}`));
    });
  });
}
