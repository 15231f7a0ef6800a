import { createHash } from 'node:crypto';
import { appendFileSync, existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname } from 'node:path';
import { PLAN_VERSION, type PlanEntry } from './plan.ts';
import type { StudyResult } from './study-result.ts';

/** A line of the results file: a result with what it depends on. */
export interface StoredResult extends StudyResult {
  /** Hash of the plan's version and the entry. */
  readonly plan: string;
  /** Hash of the code of model and measuring. */
  readonly sources: string;
}

const HASH_LENGTH = 12;

export const planHash = (entry: PlanEntry): string =>
  createHash('sha256')
    .update(`${PLAN_VERSION}\n${JSON.stringify(entry)}`)
    .digest('hex')
    .slice(0, HASH_LENGTH);

/** Results on disk, one JSON line a scan, appended as they come: an interrupted study goes on from there. */
export class ResultsFile {
  private readonly path: string;
  private readonly newest = new Map<string, StoredResult>();

  /** @throws {Error} a line other than the last is not JSON */
  constructor(path: string) {
    this.path = path;
    mkdirSync(dirname(path), { recursive: true });
    if (!existsSync(path)) return;
    const text = readFileSync(path, 'utf8');
    const lines = text.split('\n');
    // What follows the last line end was cut off while it was written: it is made again.
    const torn = lines.pop() ?? '';
    if (torn !== '') writeFileSync(path, text.slice(0, text.length - torn.length));
    for (const [i, line] of lines.entries()) this.keep(parsed(line, `${path}:${i + 1}`));
  }

  add(result: StoredResult): void {
    appendFileSync(this.path, `${JSON.stringify(result)}\n`);
    this.keep(result);
  }

  /** The newest result of an entry as it stands in the plan, by whatever code. */
  find(entry: PlanEntry): StoredResult | undefined {
    return this.newest.get(`${entry.key} ${planHash(entry)}`);
  }

  private keep(result: StoredResult): void {
    this.newest.set(`${result.key} ${result.plan}`, result);
  }
}

function parsed(line: string, place: string): StoredResult {
  try {
    return JSON.parse(line) as StoredResult;
  } catch {
    throw new Error(`${place}: not a line of JSON; remove it and run the study again`);
  }
}
