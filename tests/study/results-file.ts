import { createHash } from 'node:crypto';
import { appendFileSync, existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname } from 'node:path';
import { PLAN_VERSION } from './plan.ts';
import type { StudyResult } from './study-result.ts';

/** What a result depends on. */
interface Origin {
  /** Hash of the plan's version and the entry. */
  readonly plan: string;
  /** Hash of the code of model and measuring. */
  readonly sources: string;
}

/** A line of the results file: a result with what it depends on. */
export type Stored<R> = R & Origin;
export type StoredResult = Stored<StudyResult>;

const HASH_LENGTH = 12;

export const planHash = (entry: { readonly key: string }, version = PLAN_VERSION): string =>
  createHash('sha256')
    .update(`${version}\n${JSON.stringify(entry)}`)
    .digest('hex')
    .slice(0, HASH_LENGTH);

/** Results on disk, one JSON line a scan or pair, appended as they come: an interrupted study goes on from there. */
export class ResultsFile<R extends { readonly key: string } = StudyResult> {
  private readonly path: string;
  private readonly version: number;
  private readonly newest = new Map<string, Stored<R>>();

  /**
   * @param version  of the plan
   * @throws {Error} a line other than the last is not JSON
   */
  constructor(path: string, version = PLAN_VERSION) {
    this.path = path;
    this.version = version;
    mkdirSync(dirname(path), { recursive: true });
    if (!existsSync(path)) return;
    const text = readFileSync(path, 'utf8');
    const lines = text.split('\n');
    // What follows the last line end was cut off while it was written: it is made again.
    const torn = lines.pop() ?? '';
    if (torn !== '') writeFileSync(path, text.slice(0, text.length - torn.length));
    for (const [i, line] of lines.entries()) this.keep(parsed<R>(line, `${path}:${i + 1}`));
  }

  add(result: Stored<R>): void {
    appendFileSync(this.path, `${JSON.stringify(result)}\n`);
    this.keep(result);
  }

  /** The newest result of an entry as it stands in the plan, by whatever code. */
  find(entry: { readonly key: string }): Stored<R> | undefined {
    return this.newest.get(`${entry.key} ${planHash(entry, this.version)}`);
  }

  private keep(result: Stored<R>): void {
    this.newest.set(`${result.key} ${result.plan}`, result);
  }
}

function parsed<R>(line: string, place: string): Stored<R> {
  try {
    return JSON.parse(line) as Stored<R>;
  } catch {
    throw new Error(`${place}: not a line of JSON; remove it and run the study again`);
  }
}
