import { MEASURANDS } from '../measurands/measurands.ts';
import type { Quantity } from '../measures/result.ts';
import { isFailed, type ScanRecord } from '../records/record.ts';
import { csvNumber, csvText } from './csv-cell.ts';

export interface CsvColumn<R = ScanRecord> {
  readonly name: string;
  readonly title: string;
  readonly datatype: 'string' | 'number';
  /** UCUM. */
  readonly unit?: string;
  readonly description?: string;
  readonly cell: (record: R) => string;
}

/** The columns of `measurements.csv`: what identifies a scan, its measurands, then what the catalogue adds. */
export function csvColumns(records: readonly ScanRecord[]): readonly CsvColumn[] {
  const own = [...IDENTITY, ...MEASURANDS.flatMap(measurandColumns)];
  const taken = new Set(own.map(({ name }) => name));
  return [...own, ...catalogueColumns(records, taken)];
}

const textColumn = (name: string, title: string, text: (record: ScanRecord) => string | undefined): CsvColumn => ({
  name,
  title,
  datatype: 'string',
  cell: (record) => csvText(text(record) ?? ''),
});

const IDENTITY: readonly CsvColumn[] = [
  textColumn('instrument', 'Instrument', (r) => r.instrument),
  textColumn('date', 'Date of the scan', (r) => r.date),
  textColumn('scan', 'Scan', (r) => r.scan),
  textColumn('class', 'Instrument class', (r) => (isFailed(r) ? undefined : r.class.value)),
  textColumn('scan_unit', 'Unit of the scan', (r) => (isFailed(r) ? undefined : r.unit.value)),
  textColumn('station_source', 'Where the bridge station comes from', (r) => (isFailed(r) ? undefined : r.station?.source)),
  textColumn('failed', 'Why the scan could not be measured', (r) => (isFailed(r) ? `${r.failed.code}: ${r.failed.message}` : undefined)),
  textColumn('absent', 'Measurands that the scan does not support', (r) =>
    isFailed(r) ? undefined : r.absent.map(({ measure, reason }) => `${measure}: ${reason}`).join(' | '),
  ),
  textColumn('warnings', 'Warnings', (r) => (isFailed(r) ? undefined : r.warnings.join(' | '))),
];

function measurandColumns({ id, unit, title, sentence }: (typeof MEASURANDS)[number]): readonly CsvColumn[] {
  const number = (name: string, what: string, description: string, of: (q: Quantity) => number): CsvColumn => ({
    name,
    title: what,
    datatype: 'number',
    unit,
    description,
    cell: (record) => {
      const quantity = isFailed(record) ? undefined : record.measures[id];
      return quantity === undefined ? '' : csvNumber(of(quantity), quantity.u);
    },
  });
  return [
    number(id, title, sentence, (q) => q.value),
    number(`${id}_u`, `${title}, standard uncertainty`, 'Standard uncertainty', (q) => q.u),
    number(`${id}_U95`, `${title}, half-width of the 95 % interval`, 'Half-width of the 95 % interval', (q) => q.U95),
    textColumn(`${id}_quality`, `${title}, quality`, (r) => (isFailed(r) ? undefined : r.measures[id]?.quality)),
  ];
}

/** Columns of the catalogue, unknown ones too, in the order in which they first appear. */
function catalogueColumns(records: readonly ScanRecord[], taken: ReadonlySet<string>): readonly CsvColumn[] {
  const names = new Set(records.flatMap((record) => Object.keys(record.catalogue ?? {})));
  return [...names].map((name) => textColumn(taken.has(name) ? `catalogue_${name}` : csvText(name), name, (r) => r.catalogue?.[name]));
}
