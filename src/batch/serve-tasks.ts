import { type Measured, type MeasureTask, measureFile, type Measuring } from './measure-file.ts';

/** What the parent process sends and what comes back. */
export interface TaskMessage {
  readonly id: number;
  readonly task: MeasureTask;
}
export interface DoneMessage {
  readonly id: number;
  readonly measured: Measured;
}

/** The worker's side: measures what the parent sends, one after the other, until the parent lets go. */
export function serveTasks(measuring: Measuring): void {
  // Ctrl-C reaches the whole group of processes; the parent decides what becomes of the work.
  process.on('SIGINT', () => undefined);
  process.on('disconnect', () => process.exit(0));
  process.on('message', async ({ id, task }: TaskMessage) => {
    const measured = await measureFile(measuring, task, () => new Date());
    process.send?.({ id, measured } satisfies DoneMessage);
  });
}
