/** What was asked of the study. */
export interface StudySettings {
  readonly only: readonly string[] | undefined;
  readonly limit: number;
  readonly jobs: number;
  readonly out: string;
  readonly stale: 'redo' | 'keep';
  /** Nothing is run; the report is written again. */
  readonly report: boolean;
}

interface Given {
  readonly only?: string | undefined;
  readonly limit: string;
  readonly jobs: string;
  readonly out: string;
  readonly stale: string;
  readonly report: boolean;
}

/** @throws {Error} an option that is none */
export function studySettings({ only, limit, jobs, out, stale, report }: Given): StudySettings {
  const most = limit === 'all' ? Number.POSITIVE_INFINITY : Number(limit);
  if (!(most > 0)) throw new Error(`--limit wants a number, not "${limit}"`);
  if (stale !== 'redo' && stale !== 'keep') throw new Error(`--stale is redo or keep, not "${stale}"`);
  const processes = Number(jobs);
  if (!(Number.isInteger(processes) && processes > 0)) throw new Error(`--jobs wants a number of processes, not "${jobs}"`);
  return { only: only?.split(','), limit: most, jobs: processes, out, stale, report };
}

/** @throws {Error} a name that is none of those known */
export function refuseUnknown(only: readonly string[] | undefined, known: ReadonlySet<string>, listed: readonly string[]): void {
  for (const name of only ?? [])
    if (!known.has(name)) throw new Error(`--only: no group or scan "${name}"; there are ${[...new Set(listed)].join(', ')}`);
}
