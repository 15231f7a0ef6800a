import type { ReportTable } from './report-table.ts';
import type { StudyResult } from './study-result.ts';

const KEYS_SHOWN = 3;

/** Supported by the scan, yet not in the record: by measurand and the reason that the record gives. */
export function absentTable(results: readonly StudyResult[]): ReportTable {
  const keys = new Map<string, string[]>();
  for (const r of results) {
    for (const s of r.scores) {
      if (s.supported !== true || s.absent === undefined) continue;
      const cause = `${s.id}\n${s.absent}`;
      keys.set(cause, [...(keys.get(cause) ?? []), r.key]);
    }
  }
  const rows = [...keys]
    .sort((p, q) => q[1].length - p[1].length)
    .map(([cause, list]) => [...cause.split('\n'), String(list.length), list.slice(0, KEYS_SHOWN).join(', ')]);
  return { title: 'Absent although the scan supports it', columns: ['measurand', 'reason in the record', 'scans', 'for example'], rows };
}
