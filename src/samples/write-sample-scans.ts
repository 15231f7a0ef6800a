import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { random } from '../numerics/random.ts';
import { buildInstrument, randomSpec } from './instrument.ts';
import type { InstrumentSpec, ModelClass, ModelSet } from './model-instrument.ts';
import { SCAN_DEFAULTS, type ScanSettings } from './scan-settings.ts';
import { writeEntry } from './write-entry.ts';
import type { ScanFormat } from './write-scan.ts';

/** One loan instrument of the invented school and how it was scanned. */
interface Loan {
  readonly id: string;
  readonly label: string;
  readonly class: ModelClass;
  readonly set?: ModelSet;
  /** Share of the full size. */
  readonly size?: number;
  readonly date: string;
  readonly format: ScanFormat;
  /** Columns that the catalogue gives; the rest is left blank. */
  readonly given?: readonly ('class' | 'unit' | 'stop')[];
  readonly scan: Partial<ScanSettings>;
  readonly note: string;
  readonly change?: (spec: InstrumentSpec) => InstrumentSpec;
}

const DEGREE = Math.PI / 180;
const ORDINARY = { sigma: 0.05, correlated: { amplitude: 0.02, length: 50, kernel: 'gaussian' } } as const;

const sunk =
  (degrees: number) =>
  (spec: InstrumentSpec): InstrumentSpec => ({ ...spec, neck: { ...spec.neck, bedAngle: spec.neck.bedAngle - degrees * DEGREE } });

/** The school's loan instruments on the days before they are handed out. */
const LOANS: readonly Loan[] = [
  {
    id: 'loan-01',
    label: 'Violin, best of the orchestra',
    class: 'violin',
    date: '2026-08-24',
    format: 'ply-little-endian',
    given: ['class'],
    scan: { sigma: 0.03, fittings: 'bare' },
    note: 'strings off for a new bridge',
  },
  {
    id: 'loan-02',
    label: 'Violin, back desk',
    class: 'violin',
    date: '2026-08-24',
    format: 'ply-little-endian',
    scan: { ...ORDINARY, fittings: 'fitted' },
    note: 'buzzes; the board looks low',
    change: sunk(0.75),
  },
  {
    id: 'loan-03',
    label: 'Violin with a new board',
    class: 'violin',
    date: '2026-08-24',
    format: 'obj',
    scan: { ...ORDINARY, fittings: 'strung', unit: 'cm', spacing: 1.4 },
    note: '',
  },
  {
    id: 'loan-04',
    label: 'Three-quarter violin',
    class: 'violin',
    size: 0.943,
    date: '2026-08-25',
    format: 'ply-big-endian',
    given: ['class'],
    scan: { ...ORDINARY, fittings: 'fitted' },
    note: 'fractional size',
  },
  {
    id: 'loan-05',
    label: 'Violin in an early set',
    class: 'violin',
    set: 'early',
    date: '2026-08-25',
    format: 'ply-little-endian',
    scan: { ...ORDINARY, fittings: 'strung' },
    note: 'short wedge board, for the old-music group',
  },
  {
    id: 'loan-06',
    label: 'Viola',
    class: 'viola',
    date: '2026-08-25',
    format: 'pcd-binary',
    given: ['class', 'stop'],
    scan: { ...ORDINARY, fittings: 'fitted', unit: 'm' },
    note: 'scanned as a cloud',
  },
  {
    id: 'loan-07',
    label: 'Viola, large',
    class: 'viola',
    size: 1.03,
    date: '2026-08-25',
    format: 'xyz',
    scan: { ...ORDINARY, fittings: 'strung', pose: 'far' },
    note: 'scan lies far from its origin',
  },
  {
    id: 'loan-08',
    label: 'Cello',
    class: 'cello',
    date: '2026-08-26',
    format: 'ply-little-endian',
    given: ['class', 'unit'],
    scan: { ...ORDINARY, fittings: 'strung', stand: 'cradle' },
    note: 'lay in a cradle',
  },
  {
    id: 'loan-09',
    label: 'Cello, neck turned to the bass side',
    class: 'cello',
    date: '2026-08-26',
    format: 'ply-little-endian',
    scan: { ...ORDINARY, fittings: 'strung', unit: 'in' },
    note: '',
    change: (s) => ({ ...s, neck: { ...s.neck, yaw: 0.55 * DEGREE } }),
  },
  {
    id: 'loan-10',
    label: 'Double bass',
    class: 'bass',
    date: '2026-08-26',
    format: 'ply-little-endian',
    given: ['class', 'unit'],
    scan: { ...ORDINARY, fittings: 'strung', sigma: 0.1 },
    note: '',
  },
  {
    id: 'loan-11',
    label: 'Violin on a table',
    class: 'violin',
    date: '2026-08-27',
    format: 'ply-ascii',
    scan: { ...ORDINARY, fittings: 'strung', stand: 'table', view: 'no-back' },
    note: 'the back was not seen',
  },
  {
    id: 'loan-12',
    label: 'Violin, upper half only',
    class: 'violin',
    date: '2026-08-27',
    format: 'stl-binary',
    scan: { ...ORDINARY, fittings: 'strung', view: 'top-half', spacing: 2, outliers: { share: 1e-4, clusters: 3 } },
    note: 'the scan broke off',
  },
];

/** Points are drawn finer than they are kept: flat stretches are thinned to one a cell afterwards. Both on a violin, mm. */
const SPACING = 1.2;
const CELL = 2.5;
const CLOUD_CELL = 1.7;
/** Large instruments are scanned from farther away, but not as much farther as they are larger. */
const SPARSER = 0.7;
/** Digits cost room: coordinates are rounded to a hundredth of a millimetre, well below the noise. */
const STEP = 0.016;
const VIOLIN = 355;
/** Facets cost as much room as points: only these scans are meshes. */
const MESHES: ReadonlySet<string> = new Set(['loan-01', 'loan-03', 'loan-12']);

/** Writes the invented collection of `sample-scans/`: scans, truth and catalogue. The same bytes each time. */
export async function writeSampleScans(dir: string): Promise<void> {
  await mkdir(dir, { recursive: true });
  const rows = ['instrument,scan,date,label,class,unit,stop,stringsOn,group,note'];
  for (let i = 0; i < LOANS.length; i++) {
    const loan = LOANS[i];
    const stream = random(`sample-scans ${loan.id}`);
    const drawn = randomSpec(loan.class, loan.set ?? 'modern', stream.fork('instrument'), loan.size ?? 1);
    const spec = loan.change ? loan.change(drawn) : drawn;
    const given = new Set(loan.given ?? []);
    const size = spec.body.outline.length / VIOLIN;
    const cloud = !MESHES.has(loan.id);
    const settings: ScanSettings = {
      ...SCAN_DEFAULTS,
      spacing: SPACING * size,
      thinning: cloud ? { kind: 'even', cell: CLOUD_CELL * size ** SPARSER } : { kind: 'adaptive', cell: CELL * size },
      step: STEP,
      kind: cloud ? 'cloud' : 'mesh',
      ...loan.scan,
    };
    const { file, truth } = await writeEntry(
      dir,
      {
        number: i + 1,
        instrument: buildInstrument(spec),
        settings,
        format: loan.format,
        packing: 'gzip',
        statedStop: given.has('stop') ? 'to 0.1 mm' : 'none',
      },
      stream.fork('scan'),
    );
    const stop = given.has('stop') ? truth.values.stop.toFixed(1) : '';
    rows.push(
      [
        loan.id,
        file,
        loan.date,
        loan.label,
        given.has('class') ? loan.class : '',
        given.has('unit') ? settings.unit : '',
        stop,
        settings.fittings === 'bare' ? 'no' : 'yes',
        loan.set === 'early' ? 'early' : '',
        loan.note,
      ]
        .map(cell)
        .join(','),
    );
  }
  await writeFile(join(dir, 'catalogue.csv'), `${rows.join('\n')}\n`);
}

const cell = (text: string) => (/[",]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);
