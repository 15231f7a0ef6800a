import { type ChildProcess, fork } from 'node:child_process';
import { freemem } from 'node:os';
import { FAULT_CODE, type Told } from '../records/failed-record.ts';
import type { DoneMessage, TaskMessage } from './serve-tasks.ts';
import type { WorkResult, WorkTask } from './tasks.ts';

export interface WorkerOptions {
  /** The module that a worker process runs. */
  readonly entry: string | URL;
  /** Node's arguments for it, after our own. */
  readonly nodeArguments?: readonly string[];
  /** Megabytes of JavaScript heap a worker may take before it, and only it, is ended. */
  readonly heapMegabytes: number;
}

/** Bulk data lies outside this heap; what is inside (trees, lists of samples) stays far below for any scan that fits in memory. */
const HEAP_AT_LEAST = 1024;
const HEAP_AT_MOST = 4096;
/** Share of the free memory that all workers' heaps together may claim: the rest is for their arrays and everybody else. */
const HEAP_SHARE = 0.5;

/** Megabytes of heap for each of `jobs` workers on this machine. */
export const heapFor = (jobs: number): number =>
  Math.round(Math.min(HEAP_AT_MOST, Math.max(HEAP_AT_LEAST, (HEAP_SHARE * freemem()) / 2 ** 20 / jobs)));

/** Worker processes, started when first needed and kept. A worker that dies takes only the scan it was at with it. */
export class WorkerPool {
  private readonly idle: ChildProcess[] = [];
  private readonly all = new Set<ChildProcess>();
  private readonly options: WorkerOptions;
  /** What each has open. */
  private readonly baselines = new WeakMap<ChildProcess, string>();
  private readonly lastWords = new WeakMap<ChildProcess, string>();
  private nextId = 0;
  private closed = false;

  constructor(options: WorkerOptions) {
    this.options = options;
  }

  /**
   * Does a task in an idle worker, one that has its baseline open if there is any, or in a new one: the caller bounds how many run at once.
   *
   * @param onLost  what stands for the result where the worker died of it
   */
  run<Task extends WorkTask>(task: Task, onLost: (told: Told) => WorkResult[Task['kind']]): Promise<WorkResult[Task['kind']]> {
    if (this.closed) return Promise.reject(new Error('the workers are closed'));
    const key = task.kind === 'measure' ? undefined : JSON.stringify(task.baseline);
    const worker = this.takeIdle(key) ?? this.start();
    if (key !== undefined) this.baselines.set(worker, key);
    const id = this.nextId++;
    return new Promise((resolve, reject) => {
      const settle = (outcome: () => void): void => {
        worker.off('message', onMessage).off('exit', onExit).off('error', onError);
        outcome();
      };
      const onMessage = (message: DoneMessage): void => {
        if (message.id !== id) return;
        this.idle.push(worker);
        settle(() => resolve(message.result as WorkResult[Task['kind']]));
      };
      const onExit = (code: number | null, signal: string | null): void => {
        if (this.closed) settle(() => reject(new Error('interrupted')));
        else settle(() => resolve(onLost(this.lost(worker, code, signal))));
      };
      const onError = (error: Error): void => settle(() => reject(error));
      worker.on('message', onMessage).on('exit', onExit).on('error', onError);
      worker.send({ id, task } satisfies TaskMessage);
    });
  }

  /** Ends all workers at once; what they were at is lost and its promises are rejected. */
  close(): void {
    this.closed = true;
    for (const worker of this.all) worker.kill('SIGKILL');
  }

  private takeIdle(baseline: string | undefined): ChildProcess | undefined {
    const place = baseline === undefined ? -1 : this.idle.findIndex((worker) => this.baselines.get(worker) === baseline);
    return place < 0 ? this.idle.pop() : this.idle.splice(place, 1)[0];
  }

  private start(): ChildProcess {
    const worker = fork(this.options.entry, {
      execArgv: [`--max-old-space-size=${this.options.heapMegabytes}`, ...(this.options.nodeArguments ?? [])],
      serialization: 'advanced',
      stdio: ['ignore', 'ignore', 'pipe', 'ipc'],
    });
    // What a dying worker prints (a stack, or V8's pages on an exhausted heap) is kept for --stack; the record says it in one line.
    worker.stderr?.setEncoding('utf8').on('data', (text: string) => {
      this.lastWords.set(worker, `${this.lastWords.get(worker) ?? ''}${text}`.slice(-LAST_WORDS));
    });
    this.all.add(worker);
    worker.once('exit', () => {
      this.all.delete(worker);
      const place = this.idle.indexOf(worker);
      if (place >= 0) this.idle.splice(place, 1);
    });
    return worker;
  }

  private lost(worker: ChildProcess, code: number | null, signal: string | null): Told {
    const failed = this.deathOf(code, signal);
    return failed.code === FAULT_CODE ? { failed, stack: this.lastWords.get(worker) ?? '' } : { failed };
  }

  private deathOf(code: number | null, signal: string | null): { code: string; message: string } {
    // V8 aborts when its heap is exhausted; the kernel kills when memory is.
    if (signal === 'SIGABRT' || signal === 'SIGKILL' || code === 134) {
      return {
        code: 'too-large',
        message: `the memory did not suffice (heap limit ${this.options.heapMegabytes} MB); thin the scan out, or run with fewer --jobs`,
      };
    }
    if (code === UNCAUGHT)
      return { code: FAULT_CODE, message: 'a fault in the program, not in the scan: a worker process failed; --stack shows where' };
    return {
      code: 'unreadable',
      message: `the worker that was reading it ended by ${signal ?? `code ${code}`}; try it alone with "necksight measure --stack"`,
    };
  }
}

/** Node's exit code after an error that nobody caught. */
const UNCAUGHT = 1;
/** Characters kept of what a worker printed last. */
const LAST_WORDS = 4000;
