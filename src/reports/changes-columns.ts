import { CHANGES, type ChangeId } from '../measurands/changes.ts';
import { MEASURANDS } from '../measurands/measurands.ts';
import type { ComparisonRecord, MeasuredComparison } from '../records/comparison-record.ts';
import { csvNumber, csvText } from './csv-cell.ts';
import type { CsvColumn } from './csv-columns.ts';

type Column = CsvColumn<ComparisonRecord>;
type Pair = MeasuredComparison;

/** One number with its verdicts, from a scalar change or from one component of the shift. */
interface Cells {
  readonly value: number;
  readonly u: number;
  readonly U95: number;
  readonly decision?: number | undefined;
  readonly smallest?: number | undefined;
}

interface Judged {
  readonly quality: string;
  readonly significant?: boolean;
  readonly significantAlone?: boolean;
}

/** The columns of `changes.csv`: what identifies a pair, changes against the body, then differences in the baseline's datums under the id of their measurand. */
export function changesColumns(records: readonly ComparisonRecord[]): readonly Column[] {
  const own = [...IDENTITY, ...CHANGES.flatMap(changeColumns), ...MEASURANDS.flatMap(differenceColumns)];
  const taken = new Set(own.map(({ name }) => name));
  return [...own, ...catalogueColumns(records, taken)];
}

const text = (name: string, title: string, of: (record: ComparisonRecord) => string | undefined): Column => ({
  name,
  title,
  datatype: 'string',
  cell: (record) => csvText(of(record) ?? ''),
});

const measured = (record: ComparisonRecord): Pair | undefined => ('failed' in record ? undefined : record);

const IDENTITY: readonly Column[] = [
  text('instrument', 'Instrument', (r) => r.instrument),
  text('date', 'Date of the later scan', (r) => r.date),
  text('scan', 'Later scan', (r) => r.scan),
  text('baseline', 'Scan that it is held against', (r) => r.baseline),
  text('failed', 'Why the scans could not be compared', (r) => ('failed' in r ? `${r.failed.code}: ${r.failed.message}` : undefined)),
  text('absent', 'What the scans do not support', (r) =>
    measured(r)
      ?.absent.map(({ measure, reason }) => `${measure}: ${reason}`)
      .join(' | '),
  ),
  text('warnings', 'Warnings', (r) => measured(r)?.warnings.join(' | ')),
];

function changeColumns({ id, unit, title, sentence }: (typeof CHANGES)[number]): readonly Column[] {
  if (id === 'neckShift') return shiftColumns(title, unit, sentence);
  const of = (pair: Pair) => pair.measures[id as Exclude<ChangeId, 'neckShift'>];
  // What is not tested has no verdict to show.
  return [...numberColumns(id, title, unit, sentence, of), ...judgedColumns(id, title, of)].filter(
    ({ name }) => id !== 'bodyResidual' || !/_(?:decision|smallest|significant|significantAlone)$/.test(name),
  );
}

/** Numbers by component; quality and verdicts are those of the shift as a whole. */
function shiftColumns(title: string, unit: 'mm' | 'deg', sentence: string): readonly Column[] {
  const numbers = (['x', 'y', 'z'] as const).flatMap((axis, k) =>
    numberColumns(`neckShift_${axis}`, `${title}, ${axis}`, unit, sentence, ({ measures: { neckShift: s } }) =>
      s === undefined
        ? undefined
        : {
            value: s.value[k] as number,
            u: s.u[k] as number,
            U95: s.U95[k] as number,
            decision: s.decision?.[k],
            smallest: s.smallest?.[k],
          },
    ),
  );
  return [...numbers, ...judgedColumns('neckShift', title, (pair) => pair.measures.neckShift)];
}

function differenceColumns({ id, unit, title }: (typeof MEASURANDS)[number]): readonly Column[] {
  if (id === 'stop' || id === 'stopRatio') return [];
  const of = (pair: Pair) => pair.differences[id];
  const what = `Change of: ${title}`;
  const sentence = "Later minus baseline, in the baseline's datums and at its bridge station: not the subtraction of two rows";
  return [...numberColumns(id, what, unit, sentence, of), ...judgedColumns(id, what, of)];
}

function numberColumns(
  name: string,
  title: string,
  unit: string,
  sentence: string,
  of: (pair: Pair) => Cells | undefined,
): readonly Column[] {
  const number = (suffix: string, what: string, description: string, pick: (c: Cells) => number | undefined): Column => ({
    name: `${name}${suffix}`,
    title: what,
    datatype: 'number',
    unit,
    description,
    cell: (record) => {
      const pair = measured(record);
      const cells = pair === undefined ? undefined : of(pair);
      const value = cells === undefined ? undefined : pick(cells);
      return cells === undefined || value === undefined ? '' : csvNumber(value, cells.u);
    },
  });
  return [
    number('', title, sentence, (c) => c.value),
    number('_u', `${title}, standard uncertainty`, 'Standard uncertainty', (c) => c.u),
    number('_U95', `${title}, half-width of the 95 % interval`, 'Half-width of the 95 % interval', (c) => c.U95),
    number('_decision', `${title}, decision limit`, 'Size at which its own test turns', (c) => c.decision),
    number('_smallest', `${title}, smallest change`, 'True change that this pair would have shown in 95 of 100 cases', (c) => c.smallest),
  ];
}

function judgedColumns(name: string, title: string, of: (pair: Pair) => Judged | undefined): readonly Column[] {
  const judged = (suffix: string, what: string, pick: (j: Judged) => string | undefined): Column =>
    text(`${name}${suffix}`, `${title}, ${what}`, (record) => {
      const pair = measured(record);
      const found = pair === undefined ? undefined : of(pair);
      return found === undefined ? undefined : pick(found);
    });
  return [
    judged('_quality', 'quality', (j) => j.quality),
    judged('_significant', 'real in the pair as a whole', (j) => yesNo(j.significant)),
    judged('_significantAlone', 'real by its own test', (j) => yesNo(j.significantAlone)),
  ];
}

const yesNo = (verdict: boolean | undefined): string | undefined => (verdict === undefined ? undefined : verdict ? 'yes' : 'no');

/** Columns of the catalogue, unknown ones too, in the order in which they first appear. */
function catalogueColumns(records: readonly ComparisonRecord[], taken: ReadonlySet<string>): readonly Column[] {
  const names = new Set(records.flatMap((record) => Object.keys(record.catalogue ?? {})));
  return [...names].map((name) => text(taken.has(name) ? `catalogue_${name}` : csvText(name), name, (r) => r.catalogue?.[name]));
}
