import { frameIsWrong } from './group-figures.ts';
import { judgeScore } from './judge-score.ts';
import { figure, type ReportTable } from './report-table.ts';
import type { StudyResult } from './study-result.ts';

const WORST = 20;

/** The errors that are greatest in units of their u; all that are wrong come first. */
export function worstTable(results: readonly StudyResult[]): ReportTable {
  const all = results.flatMap((r) =>
    r.scores.flatMap((s) => {
      const judged = judgeScore(s);
      return judged === undefined || s.given === undefined ? [] : [{ key: r.key, id: s.id, truth: s.truth, given: s.given, ...judged }];
    }),
  );
  const rank = (w: { readonly silent: boolean; readonly wrong: boolean; readonly pull: number }): number =>
    (w.silent ? 2e9 : w.wrong ? 1e9 : 0) + Math.abs(w.pull);
  const worst = all.sort((p, q) => rank(q) - rank(p)).slice(0, WORST);
  return {
    title: `The ${WORST} worst pulls`,
    note: 'Wrong ones first. `npx tsx tests/study/regenerate.ts KEY OUT.ply` writes the scan again.',
    columns: ['scan', 'measurand', 'truth', 'value', 'error', 'u', 'pull', 'quality', 'basis', ''],
    rows: worst.map((w) => [
      w.key,
      w.id,
      figure(w.truth),
      figure(w.given.value),
      figure(w.error),
      figure(w.u),
      w.pull.toFixed(1),
      w.given.quality,
      w.given.basis,
      w.silent ? 'silently wrong' : w.wrong ? 'wrong' : '',
    ]),
  };
}

/** Scans that were refused, whose frame is wrong, or whose class or unit was mistaken. */
export function failureTable(results: readonly StudyResult[]): ReportTable {
  const rows = results.flatMap((r) => {
    const what = [
      ...(r.failed === undefined ? [] : [`${r.failed.code}: ${r.failed.message}`]),
      ...(frameIsWrong(r) ? [`frame off by ${figure(r.frame?.rotation ?? 0)}° and ${figure(r.frame?.origin ?? 0)} mm`] : []),
      ...r.mistaken,
    ];
    return what.length === 0 ? [] : [[r.key, what.join('; ')]];
  });
  return { title: 'Refused, wrong or mistaken', columns: ['scan', 'what'], rows };
}
