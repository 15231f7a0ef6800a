import { mean } from '../../src/numerics/statistics.ts';
import { MODELS } from './plan.ts';
import type { ReportTable } from './report-table.ts';
import type { StudyResult } from './study-result.ts';

/** What a scan costs. */
export function timeTable(results: readonly StudyResult[]): ReportTable {
  const rows = MODELS.flatMap((model) => {
    const own = results.filter((r) => r.model === model);
    if (own.length === 0) return [];
    const of = (what: (r: StudyResult) => number): string => mean(own.map(what)).toFixed(1);
    return [
      [
        `model ${model.toUpperCase()}`,
        String(own.length),
        of((r) => r.points / 1000),
        of((r) => r.seconds.make),
        of((r) => r.seconds.read),
        of((r) => r.seconds.measure),
      ],
    ];
  });
  return {
    title: 'Time per scan, s on the processor',
    columns: ['scans of', 'n', 'thousand points', 'making', 'reading', 'measuring'],
    rows,
  };
}
