import { toldOf } from '../records/failed-record.ts';
import { type ComparedFile, type Comparing, failedPair, ofBaseline, type OpenBaseline } from './comparing.ts';
import { measureFile, type Measuring } from './measure-file.ts';
import type { WorkResult, WorkTask } from './tasks.ts';

/** What the parent process sends and what comes back. */
export interface TaskMessage {
  readonly id: number;
  readonly task: WorkTask;
}
export interface DoneMessage {
  readonly id: number;
  readonly result: WorkResult[WorkTask['kind']];
}

const now = (): Date => new Date();

/**
 * The worker's side: does what the parent sends, one after the other, until the parent lets go.
 *
 * @param loadComparing  called when the first pair comes: most workers only measure
 */
export function serveTasks(measuring: Measuring, loadComparing: () => Promise<Comparing>): void {
  // Ctrl-C reaches the whole group of processes; the parent decides what becomes of the work.
  process.on('SIGINT', () => undefined);
  process.on('disconnect', () => process.exit(0));
  const baselines = new LastBaseline(loadComparing);
  process.on('message', async ({ id, task }: TaskMessage) => {
    const result = task.kind === 'measure' ? await measureFile(measuring, task.task, now) : await ofPair(task, baselines);
    process.send?.({ id, result } satisfies DoneMessage);
  });
}

function ofPair(
  task: Exclude<WorkTask, { kind: 'measure' }>,
  baselines: LastBaseline,
): Promise<WorkResult['baseline'] | WorkResult['compare']> {
  const { baseline } = task;
  return task.kind === 'baseline'
    ? baselines
        .open(baseline)
        .then(async (open) => ({ record: await open.record() }))
        .catch(toldOf)
    : baselines.open(baseline).then(
        (open) => open.compare(task.later),
        (error: unknown) => failedPair(ofBaseline(toldOf(error), baseline.subject.scan), task.later.subject, baseline.subject.scan, now),
      );
}

/** The baseline that was asked for last stays open: the pairs of a series come one after the other. */
class LastBaseline {
  private key = '';
  private last: Promise<OpenBaseline> | undefined;
  private readonly loadComparing: () => Promise<Comparing>;

  constructor(loadComparing: () => Promise<Comparing>) {
    this.loadComparing = loadComparing;
  }

  open(file: ComparedFile): Promise<OpenBaseline> {
    const key = JSON.stringify(file);
    if (this.last === undefined || key !== this.key) {
      this.key = key;
      this.last = this.loadComparing().then((comparing) => comparing(file, now));
    }
    return this.last;
  }
}
