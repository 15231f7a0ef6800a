import { CHANGES } from '../../../src/measurands/changes.ts';
import { MEASURANDS } from '../../../src/measurands/measurands.ts';
import { clopperPearson } from '../../../src/numerics/clopper-pearson.ts';
import { type MeasurandFigures, measurandFigures } from '../measurand-figures.ts';
import { measurandTable } from '../measurand-table.ts';
import { count, figure, percent, type ReportTable } from '../report-table.ts';
import type { Score } from '../study-result.ts';
import { judgePair } from './judge-pair.ts';
import { PAIR_GROUPS, PAIR_MODELS } from './pair-plan.ts';
import { seriesTable } from '../series/series-table.ts';
import type { PairResult } from './pair-result.ts';
import { floorTable, registrationTable, targetTable } from './pair-targets.ts';

/** A change that is truly 0 by less than this did not happen, mm and degrees. */
const ZERO = 1e-6;
const CONFIDENCE = 0.95;
const AXES = ['x', 'y', 'z'].map((axis) => `neckShift.${axis}`);
/** In the order of tables. */
const IDS: readonly string[] = [
  ...CHANGES.flatMap(({ id }) => (id === 'neckShift' ? AXES : [id])),
  ...MEASURANDS.map(({ id }) => `d ${id}`),
];

const MODELS: readonly string[] = PAIR_MODELS;
const ORDINARY: ReadonlySet<string> = new Set(PAIR_GROUPS.filter((g) => g.quality === 'ordinary').map((g) => g.name));

/** All tables of the report, from whatever results there are. */
export function pairTables(results: readonly PairResult[]): ReportTable[] {
  const groups = PAIR_GROUPS.map((group) => ({ ...group, own: results.filter((r) => r.group === group.name) })).filter(
    (g) => g.own.length > 0,
  );
  return [
    ...groups.filter((g) => g.name === 'mixed-clean').map((g) => targetTable(g.own)),
    floorTable(results.filter((r) => ORDINARY.has(r.group))),
    registrationTable(results),
    ...MODELS.map((model) =>
      overview(
        model,
        groups.map((g) => ({ ...g, own: g.own.filter((r) => r.model === model) })).filter((g) => g.own.length > 0),
      ),
    ),
    ...groups.filter((g) => g.kind === 'none').map((g) => alarmTable(g.own)),
    ...groups.map((g) => measurandTable(`${g.title}: truly changed`, figuresOf(g.own, changed))),
    ...groups.map((g) =>
      measurandTable(
        `${g.title}: truly unchanged`,
        figuresOf(g.own, (s) => !changed(s)),
      ),
    ),
    seriesTable(),
    failures(results),
    worst(results),
    times(results),
  ].filter((t) => t.rows.length > 0);
}

const changed = (s: Score): boolean => Math.abs(s.truth) > ZERO;

function figuresOf(results: readonly PairResult[], counts: (s: Score) => boolean): MeasurandFigures[] {
  return IDS.flatMap((id) => {
    const scores = results.flatMap((r) => r.scores.filter((s) => s.id === id && counts(s)));
    return scores.length === 0 ? [] : [measurandFigures(id, scores, judgePair)];
  });
}

type Group = (typeof PAIR_GROUPS)[number] & { readonly own: readonly PairResult[] };

function overview(model: string, groups: readonly Group[]): ReportTable {
  return {
    title: `By group, model ${model.toUpperCase()}`,
    note: 'Coverage of all changes and differences that are truly not 0, with its 95 % Clopper–Pearson interval (values of one pair hang together: a guide). Found: pairs with a significant difference of projection.',
    columns: [
      'pairs of',
      'n',
      'refused',
      'values',
      'cover %',
      '95 % bounds',
      'silently wrong',
      'supported, absent',
      'any significant',
      'projection found',
    ],
    rows: groups.map(({ title, own }) => {
      const scores = own.flatMap((r) => r.scores);
      const judged = scores.map((s) => ({ s, j: judgePair(s) }));
      const real = judged.filter(({ s, j }) => j !== undefined && changed(s));
      const inside = real.filter(({ j }) => j?.inside).length;
      const { low, high } = real.length > 0 ? clopperPearson(inside, real.length, CONFIDENCE) : { low: Number.NaN, high: Number.NaN };
      const supported = scores.filter((s) => s.supported === true);
      return [
        title,
        String(own.length),
        count(own.filter((r) => r.failed !== undefined).length),
        String(real.length),
        percent(inside / real.length),
        `${percent(low)} … ${percent(high)}`,
        count(judged.filter(({ j }) => j?.silent === true).length),
        `${supported.filter((s) => s.given === undefined).length} of ${supported.length}`,
        share(own, (r) => r.tests.some((t) => t.significant === true)),
        share(own, (r) => r.tests.some((t) => t.id === 'd projection' && t.significant === true)),
      ];
    }),
  };
}

function share(results: readonly PairResult[], has: (r: PairResult) => boolean): string {
  const n = results.filter(has).length;
  const { low, high } = clopperPearson(n, results.length, CONFIDENCE);
  return `${n} of ${results.length} (${percent(low)} … ${percent(high)} %)`;
}

/** False alarms of pairs in which nothing changed. */
function alarmTable(results: readonly PairResult[]): ReportTable {
  // Bridge and strings may be others on a later day, whatever the neck did.
  const tests = results.flatMap((r) => r.tests.filter(({ id }) => !r.scores.some((s) => s.id === id && changed(s))));
  const ids = [...CHANGES.map(({ id }) => id as string), ...MEASURANDS.map(({ id }) => `d ${id}`)];
  const row = (title: string, of: readonly { readonly alone: boolean }[]): string[] => {
    const n = of.filter((t) => t.alone).length;
    const { low, high } = clopperPearson(n, of.length, CONFIDENCE);
    return [title, String(of.length), String(n), percent(n / of.length), `${percent(low)} … ${percent(high)}`];
  };
  return {
    title: 'False alarms of pairs without any change, each by its own test at 5 %',
    columns: ['change', 'tests', 'alarms', '%', '95 % bounds'],
    rows: [
      row('all together', tests),
      ...ids.flatMap((id) => {
        const own = tests.filter((t) => t.id === id);
        return own.length === 0 ? [] : [row(id, own)];
      }),
    ],
  };
}

function failures(results: readonly PairResult[]): ReportTable {
  return {
    title: 'Pairs that were refused',
    columns: ['pair', 'code', 'message'],
    rows: results.flatMap(({ key, failed }) => (failed === undefined ? [] : [[key, failed.code, failed.message.slice(0, MESSAGE)]])),
  };
}
const MESSAGE = 200;

/** What is silently wrong, the worst first. */
function worst(results: readonly PairResult[]): ReportTable {
  const wrong = results.flatMap((r) => r.scores.map((s) => ({ r, s, j: judgePair(s) })).filter(({ j }) => j?.silent === true));
  return {
    title: 'Silently wrong',
    columns: ['pair', 'view', 'warp', 'change', 'truth', 'error', 'u', 'error ÷ u'],
    rows: wrong
      .sort((a, b) => Math.abs(b.j?.pull ?? 0) - Math.abs(a.j?.pull ?? 0))
      .map(({ r, s, j }) => [
        r.key,
        r.view,
        figure(r.warp),
        s.id,
        ...[s.truth, j?.error, j?.u, j?.pull].map((v) => figure(v ?? Number.NaN)),
      ]),
  };
}

function times(results: readonly PairResult[]): ReportTable {
  const mean = (of: (s: PairResult['seconds']) => number): string =>
    (results.reduce((sum, r) => sum + of(r.seconds), 0) / results.length).toFixed(1);
  return {
    title: 'Time per later scan, s on the processor',
    columns: ['pairs', 'making', 'reading and opening', 'comparing'],
    rows: results.length === 0 ? [] : [[String(results.length), mean((s) => s.make), mean((s) => s.open), mean((s) => s.compare)]],
  };
}
